// Questions as JSON on standard input, answers as JSON on standard output.

import { answersTo } from "./answers.js";

const chunks = [];
for await (const chunk of process.stdin) chunks.push(chunk);
process.stdout.write(JSON.stringify(answersTo(JSON.parse(Buffer.concat(chunks).toString("utf8")))));
