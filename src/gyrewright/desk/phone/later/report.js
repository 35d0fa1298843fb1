// A report from beside the aircraft, with no network: it takes the same way as every answer. What happened to the
// aircraft can be reported here as well, where the questions have come.

const SYMPTOMS = ["loose", "cracked", "worn", "bent or dented", "leaks", "missing", "rubs or binds", "shakes", "noise or smell", "does not work", "low or empty", "something else"];
const NO_PLACE = ["R", "M"];

// Words of which one is chosen; `take` gets it.
function choices(words, names, take) {
  const all = words.map((word) =>
    button(names[word] || word, (event) => {
      take(word);
      all.forEach((each) => each.setAttribute("aria-pressed", each === event.currentTarget));
    }, { className: "word", "aria-pressed": "false" }),
  );
  return el("div", { className: "field" }, all);
}

function photoField(photos) {
  const count = el("span", {}, "");
  const camera = el("input", { type: "file", accept: "image/*", capture: "environment", id: "camera" });
  camera.onchange = async () => {
    for (const file of camera.files) {
      try {
        photos.push(await shrunk(file));
      } catch {
        trouble("This phone cannot read that photo. Report it without, or take it again.");
      }
    }
    count.textContent = `${photos.length} to keep`;
  };
  return [el("label", { for: "camera", className: "camera" }, "Take a photo ", count), camera];
}

// Stores a report and shows it as kept only once it is.
async function keepReport(kind, body, photos, back) {
  try {
    await keep(kind, body, { photos });
  } catch (error) {
    const full = error && error.name === "QuotaExceededError";
    return trouble(full ? "NOT KEPT: this phone's storage is full. Make room, then touch again." : `NOT KEPT: ${error.message || error}. Touch again.`);
  }
  show(
    title("Report kept"),
    line(`Once the desk has it, ${data.aircraft.id} is grounded until somebody entitled has looked at it. Tell whoever is about to fly.`, "do"),
    line("You will read on Today what became of it.", "soft"),
    el("div", { className: "answers" }, button("Go on", back, { className: "ok" })),
  );
}

function showReport(item) {
  const chosen = { zone: item ? item.id[0] : "", symptom: "" };
  const photos = [];
  const words = el("textarea", { id: "words", rows: 2, maxLength: 600 });
  const back = () => (walk ? (item ? step(item.id) : showOverview()) : start());
  const send = () => {
    if (!chosen.zone) return trouble("Touch where it is.");
    if (!chosen.symptom && !words.value.trim() && !photos.length) return trouble("Touch what is wrong, or take a photo.");
    const body = { item: item ? item.name : data.zones[chosen.zone], zone: chosen.zone, symptom: chosen.symptom, words: words.value.trim() };
    if (item) body.list_item = item.id;
    if (walk) body.walk = walk.walk;
    return keepReport("defect-reported", body, photos, back);
  };
  show(
    title(item ? `${item.id} ${item.name}: what is wrong?` : "Where, and what is wrong?"),
    line("Nobody is blamed for a report, and everybody gets an answer.", "soft"),
    !item && line("Where?", "do"),
    !item && choices(Object.keys(data.zones).filter((zone) => !NO_PLACE.includes(zone)), data.zones, (zone) => (chosen.zone = zone)),
    line("What is wrong?", "do"),
    choices(SYMPTOMS, {}, (symptom) => (chosen.symptom = symptom)),
    photoField(photos),
    el("label", { for: "words" }, "In a few words, if you like"),
    words,
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, button("Report it", send, { className: "ok" }), button("Back", back, { className: "wide" })),
    !item && background.events && el("p", { className: "links" }, button("Something happened to it instead", showHappened, { className: "link" })),
  );
}

function showHappened() {
  const questions = Object.fromEntries(background.events);
  const photos = [];
  let kind = "";
  const words = el("textarea", { id: "words", rows: 2, maxLength: 600 });
  const back = () => (walk ? showOverview() : start());
  const send = () => (kind ? keepReport("event-reported", { kind, words: words.value.trim() }, photos, back) : trouble("Touch what happened."));
  show(
    title(`What happened to ${data.aircraft.id}?`),
    line("“A bit” and “perhaps” are a yes.", "soft"),
    choices(Object.keys(questions), questions, (word) => (kind = word)),
    photoField(photos),
    el("label", { for: "words" }, "What, where, how hard, how long"),
    words,
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, button("Report it", send, { className: "ok" }), button("Back", back, { className: "wide" })),
  );
}

afterNot.push((item) => button("Report it to whoever puts it right", () => showReport(item), { className: "word" }));
