// Fetches the slow parts of a page after it is shown. Without it, each stands behind a link.
"use strict";
for (const place of document.querySelectorAll("[data-part]")) {
  fetch(place.dataset.part, { credentials: "same-origin" })
    .then((answer) => (answer.ok && !answer.redirected ? answer.text() : Promise.reject(answer.status)))
    .then((text) => {
      place.innerHTML = text;
    })
    .catch(() => {});
}
