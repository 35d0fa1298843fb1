// Keying in by keyboard alone, and photos made small before they are sent. Nothing is answered here.
"use strict";

const LONGEST_PX = 1600;
const items = [...document.querySelectorAll(".item")];

function onward(item) {
  const next = items[items.indexOf(item) + 1];
  const place = next ? next.querySelector("input[type=radio]:checked, input[type=radio]") : document.querySelector("#b1f");
  if (place) place.focus();
}

document.addEventListener("keydown", (event) => {
  const radio = event.target;
  if (!radio.matches || !radio.matches(".item input[type=radio]") || event.ctrlKey || event.altKey || event.metaKey) return;
  if (!["1", "2", "3"].includes(event.key)) return;
  event.preventDefault();
  const item = radio.closest(".item");
  item.querySelectorAll("input[type=radio]")[Number(event.key) - 1].checked = true;
  const open = event.key === "1" ? item.querySelector(".more input:not(.words *), .more select") : item.querySelector(".words input");
  if (open) open.focus();
  else onward(item);
});

document.addEventListener("keydown", (event) => {
  // Enter in a field of an item goes on to the next item; it does not send half a sheet.
  if (event.key !== "Enter" || !event.target.matches(".from-paper input:not([type=file]), .from-paper select")) return;
  event.preventDefault();
  const item = event.target.closest(".item");
  if (item) onward(item);
});

async function small(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const factor = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * factor);
  canvas.height = Math.round(picture.height * factor);
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.8));
  return blob && blob.size < file.size ? new File([blob], "sheet.jpg", { type: "image/jpeg" }) : file;
}

const photo = document.querySelector("#photo");
if (photo) {
  photo.addEventListener("change", async () => {
    const made = new DataTransfer();
    for (const file of photo.files) made.items.add(await small(file).catch(() => file));
    photo.files = made.files;
    const size = [...photo.files].reduce((sum, file) => sum + file.size, 0) / 1e6;
    const most = Number(document.querySelector(".from-paper").dataset.most);
    photo.setCustomValidity(size > most ? `These photos have ${size.toFixed(0)} MB together; at most ${most} MB are taken in at once: choose fewer.` : "");
    photo.reportValidity();
  });
}
