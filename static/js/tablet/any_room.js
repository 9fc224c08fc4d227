// A sheet's form that is kept once for every room: the address says which room it is for.

import { el } from "./build.js";
import { houseData } from "./house_data.js";

export async function putRoomIn() {
  const form = document.querySelector("form[data-check]");
  const found = location.pathname.match(/^\/rooms\/([^/]+)\/checks\/[^/]+$/);
  if (!form || !found) return;
  const about = JSON.parse(form.dataset.check);
  const [, room] = found;
  if (about.room === room) return;
  const name = (await houseData()).rooms[room] ?? room;
  form.dataset.check = JSON.stringify({ ...about, room, room_name: name, planned: false, place: "" });
  form.action = location.pathname;
  document.querySelector(".head-where").replaceChildren(el("a", { href: `/rooms/${room}` }, name));
}
