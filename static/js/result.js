// The result page: what is saved needs no draft any more.

import { forgetSaved } from "./tablet/drafts.js";

forgetSaved(document.querySelector("[data-entry]").dataset.entry);
