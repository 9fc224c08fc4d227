// A photo as the camera gave it: its bytes kept untouched with length and SHA-256, and a small
// rendition beside it that goes out first.

import { digest } from "./ids.js";

const MOST_BYTES = 15_000_000;
const SMALL = 900;
const QUALITY = 0.72;

const MEDIA = [
  ["image/jpeg", [0xff, 0xd8, 0xff]],
  ["image/png", [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]],
];

export class NotAPhoto extends Error {}

function mediaOf(bytes) {
  const starts = (sign) => sign.every((byte, n) => bytes[n] === byte);
  const found = MEDIA.find(([, sign]) => starts(sign));
  if (found) return found[0];
  const text = String.fromCharCode(...bytes.slice(0, 12));
  return text.startsWith("RIFF") && text.endsWith("WEBP") ? "image/webp" : "";
}

async function small(image) {
  const scale = Math.min(1, SMALL / Math.max(image.width, image.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(image.width * scale));
  canvas.height = Math.max(1, Math.round(image.height * scale));
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
  return blob ? blob.arrayBuffer() : null;
}

// {sha256, media, size, width, height, bytes, small}. Throws NotAPhoto with a sentence.
export async function photoOf(file) {
  const name = file.name || "The photo";
  if (file.size > MOST_BYTES) throw new NotAPhoto(`${name} is over 15 MB. Take it smaller, or go without.`);
  const bytes = await file.arrayBuffer().catch((error) => {
    throw new NotAPhoto(`${name} cannot be read any more. Take or choose it again.`, { cause: error });
  });
  const media = mediaOf(new Uint8Array(bytes));
  if (!media) throw new NotAPhoto(`${name} is not a JPEG, PNG or WebP photo. Choose another.`);
  let image;
  try {
    // As it lies in the file, so that width and height are those the server reads.
    image = await createImageBitmap(new Blob([bytes], { type: media }), { imageOrientation: "none" });
  } catch (error) {
    throw new NotAPhoto(`${name} cannot be read as a photo. Take it again.`, { cause: error });
  }
  const { width, height } = image;
  const rendition = await small(await upright(bytes, media));
  image.close();
  return { sha256: await digest(bytes), media, size: bytes.byteLength, width, height, bytes, small: rendition };
}

const upright = (bytes, media) => createImageBitmap(new Blob([bytes], { type: media }));

export async function photosOf(files) {
  const photos = [];
  for (const file of files) if (file.size) photos.push(await photoOf(file));
  return photos;
}
