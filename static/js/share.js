// A crew's list leaves by the tablet's share sheet, as text and as one file with its photos. Where
// the browser has none the two links stay as they are.

const button = document.getElementById("share");
const ASKS = "Share it now";
const FAR = "No signal: the list comes from the office. Share it in reach.";
let made = null;

const named = (answer) => /filename="([^"]+)"/.exec(answer.headers.get("Content-Disposition") || "")?.[1] ?? "list.html";

async function got(address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new TypeError(`${address}: ${answer.status}`);
  return answer;
}

async function make() {
  const [text, page] = await Promise.all([got(button.dataset.text), got(button.dataset.file)]);
  const file = new File([await page.blob()], named(page), { type: "text/html" });
  return { title: button.dataset.title, text: await text.text(), files: [file] };
}

// A browser shares only just after a tap: where making the file took too long, a second tap is asked for.
async function share() {
  try {
    made ??= await make();
    await navigator.share(made);
    made = null;
    button.textContent = "Share";
  } catch (error) {
    if (error.name === "AbortError") return; // the sheet was closed
    if (error.name === "NotAllowedError") button.textContent = ASKS;
    else if (error instanceof TypeError) button.textContent = FAR;
    else throw error;
  }
}

const tried = new File(["x"], "list.html", { type: "text/html" });
if (button && navigator.canShare?.({ files: [tried] })) {
  button.hidden = false;
  for (const link of document.querySelectorAll("[data-unshared]")) link.hidden = true;
  button.addEventListener("click", share);
}
