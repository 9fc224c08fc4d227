// What the tablet judges by and what its forms need to know of the house, fetched once a page.

let house = null;

export function houseData() {
  house ??= fetch("/tablet/data.json").then((answer) => answer.json()).catch((error) => {
    house = null;
    throw error;
  });
  return house;
}
