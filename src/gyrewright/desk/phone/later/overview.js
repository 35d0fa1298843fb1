// Where the walk stands, place by place.

function showOverview() {
  current = current || null;
  const { state } = walk;
  const whole = state.done === state.items.length;
  const rows = state.places.map((place) => {
    const done = place.items.filter((item) => state.live[item.id]).length;
    const shut = place.isLast && !lastMay(state);
    const open = () => showItem(place.items.find((item) => !state.live[item.id]) || place.items[0]);
    return button([el("b", {}, place.name), el("small", {}, shut ? "comes last, by touch" : `${done} of ${place.items.length}`), marks(state, place)], open, { className: "place-row", disabled: shut });
  });
  show(
    title(`${data.aircraft.name}, ${state.begun.body.event}: ${state.done} of ${state.items.length}`),
    line(`Begun ${clockOf(deskTime(Date.parse(state.begun.at)))}. ${aged()}`, "soft"),
    said.slice(-3).map((text) => line(`The desk says: ${text}`, "caution")),
    lastTrouble && waiting > 0 && line(`Not handed over: ${lastTrouble}. Nothing is lost.`, "soft"),
    rows,
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, whole ? button("Sign", showSign, { className: "ok" }) : button("Go on", () => step(current?.id), { className: "ok" })),
    el("p", { className: "links" }, button("Interrupted", () => showBreak(Date.now(), ""), { className: "link" }), button("Go no further", showLeave, { className: "link" })),
    footer(),
  );
}

