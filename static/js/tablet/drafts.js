// Drafts of checks (draft.js writes them): the office has the entry, so its draft is done with.

export const DRAFTS = "fieldlog:draft:";

export function forgetSaved(entry) {
  for (const key of Object.keys(localStorage)) {
    if (!key.startsWith(DRAFTS)) continue;
    if ((localStorage.getItem(key) || "").includes(`"entry":"${entry}"`)) localStorage.removeItem(key);
  }
}
