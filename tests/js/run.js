// Questions as JSON on standard input, answers as JSON on standard output.

import { answersTo } from "./answers.js";

const chunks = [];
for await (const chunk of process.stdin) chunks.push(chunk);
const answers = answersTo(JSON.parse(Buffer.concat(chunks).toString("utf8")));
// A channel between tabs, which a pack has open, would keep Node waiting for ever.
process.stdout.write(JSON.stringify(answers), () => process.exit(0));
