// What else is said at an item: what goes wrong there, and after an answer words, a photo, whether it is small.

// Other files may add to what is asked after "not": each gets the item and its answer, and returns elements.
const afterNot = [];

let background = { wrong: {}, earlier: {}, key: "" };

async function fetchBackground() {
  const reply = await fetch(data.addresses.background, { credentials: "same-origin" });
  if (reply.ok && !reply.redirected) background = await reply.json();
}

function showBackground(item, at) {
  const [wrong, why] = background.wrong[item.id] || ["Not on this phone: the page was opened without network before it had come.", ""];
  at.replaceWith(el("span", { className: "background" }, el("b", {}, "Goes wrong "), wrong, " ", el("b", {}, "Why "), why));
}

const REASONS = ["too dark", "covered", "no step", "locked", "too hot", "in the way"];

function showDetail(item) {
  current = item;
  const given = walk.state.live[item.id];
  const { body } = given;
  const input = el("textarea", { id: "words", rows: 3, maxLength: 600, value: body.words || "" });
  const photos = [];
  const count = el("span", {}, given.photos.length ? `${given.photos.length} kept` : "");
  const camera = el("input", { type: "file", accept: "image/*", capture: "environment", id: "camera" });
  camera.onchange = async () => {
    for (const file of camera.files) {
      try {
        photos.push(await shrunk(file));
      } catch {
        trouble("This phone cannot read that photo. The answer is kept; take the photo again.");
      }
    }
    count.textContent = `${photos.length} to keep`;
  };
  const small = el("input", { type: "checkbox", id: "small", checked: !!body.small });
  const next = async () => {
    const words = input.value.trim();
    if (words !== (body.words || "") || photos.length || small.checked !== !!body.small) {
      const more = { ...body, words, corrects: given.id };
      if (small.checked) more.small = true;
      else delete more.small;
      if (!(await keepHere("walk-answer", more, photos))) return;
    }
    step(item.id);
  };
  show(
    title(`${item.id} ${item.name}: ${body.answer === NOT ? "not as it should be" : body.answer}`),
    line(`Kept ${clockOf(deskTime(Date.parse(given.at)))}. What do you see?`, "soft"),
    body.answer === NO_LOOK && el("div", { className: "field" }, REASONS.map((word) => button(word, () => (input.value = word), { className: "word" }))),
    el("label", { for: "words" }, "In a few words"),
    input,
    el("label", { for: "camera", className: "camera" }, "Take a photo ", count),
    camera,
    body.answer === NOT && item.class === "G" && el("label", { className: "small" }, small, " It is small. Somebody entitled still has to judge it."),
    body.answer === NOT && afterNot.map((more) => more(item, given)),
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, button("Next", next, { className: "ok" })),
  );
}

// Earlier readings, and the reading that belongs with this one: only after the new one is stored.
function shownAfter(item) {
  const now = walk.state.live[item.id].body.readings || {};
  const earlier = Object.keys(now).flatMap((key) => (background.earlier[`${item.id}.${key}`] || []).map(([text, day]) => `${item.fields.find((field) => field.key === key).name}: now ${now[key]}, ${day} ${text}`));
  const linked = (item.linked || []).flatMap((id) => Object.values(walk.state.live[id]?.body.readings || {}).map((text) => `${id} said ${text}`));
  return [...earlier, ...linked];
}

function showEarlier(item) {
  const lines = shownAfter(item);
  if (!lines.length) return step(item.id);
  show(title(`${item.id} kept`), lines.map((each) => line(each, "do")), el("div", { className: "answers" }, button("Next", () => step(item.id), { className: "ok" })));
}
