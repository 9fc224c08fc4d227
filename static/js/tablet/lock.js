// The superintendent's side of passing the tablet: the worker gives nothing but the crew's list from
// the tap that passes it, and everything again once the office shows a superintendent's page.

const PASS = "/pass";
const tell = (what) => navigator.serviceWorker?.controller?.postMessage(what);

export const unlock = () => tell({ ask: "unlock" });

// Locked before the form leaves: were the answer lost, the tablet would be in the crew's hands.
export function lockWhenPassed() {
  document.addEventListener("submit", ({ target: form }) => {
    const { pathname } = new URL(form.action);
    if (form.dataset.past && pathname.endsWith(PASS)) tell({ ask: "lock", page: pathname.slice(0, -PASS.length) });
  });
}
