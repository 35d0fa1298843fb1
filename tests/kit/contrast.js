// Every visible text of the page with the contrast it is seen at: its color against what is painted under its middle
// and both its ends. Returns the texts below the least, each as one line.
(least) => {
  const channels = (text) => {
    const found = text.match(/rgba?\(([^)]+)\)/);
    if (!found) throw new Error(`no color: ${text}`);
    const [r, g, b, a = "1"] = found[1].split(/[,/ ]+/).filter(Boolean);
    return [Number(r), Number(g), Number(b), Number(a)];
  };
  const over = (top, under) => {
    const [r, g, b, a] = top;
    return [r, g, b].map((each, at) => each * a + under[at] * (1 - a));
  };
  const luminance = (rgb) => {
    const [r, g, b] = rgb.map((each) => {
      const share = each / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (one, other) => {
    const [high, low] = [luminance(one), luminance(other)].sort((a, b) => b - a);
    return (high + 0.05) / (low + 0.05);
  };
  const isText = (each) => each.tagName === "text" || each.tagName === "tspan";
  const paint = (each) => {
    const style = getComputedStyle(each);
    if (each instanceof SVGElement && each.tagName !== "svg") {
      if (isText(each) || style.fill === "none" || !("getBBox" in each)) return null;
      return channels(style.fill);
    }
    const found = channels(style.backgroundColor);
    return found[3] === 0 ? null : found;
  };
  const under = (x, y, owner) => {
    let seen = [255, 255, 255];
    const stack = document.elementsFromPoint(x, y);
    if (!stack.some((each) => each === owner || owner.contains(each) || each.contains(owner))) return null;
    for (const each of stack.reverse()) {
      const color = paint(each);
      if (color) seen = over(color, seen);
    }
    return seen;
  };
  const low = [];
  let looked = 0;
  const look = (owner, words, color, boxes) => {
    for (const box of boxes) {
      if (box.width < 1 || box.height < 1) continue;
      const y = box.top + box.height / 2;
      if (y < 0 || y >= innerHeight) continue;
      for (const x of [box.left + 1, box.left + box.width / 2, box.right - 1]) {
        const ground = under(x, y, owner);
        if (!ground) continue;
        looked += 1;
        const found = contrast(over(color, ground), ground);
        if (found < least - 0.005) low.push(`${found.toFixed(2)}: ${words.trim().slice(0, 60)} <${owner.tagName} class="${owner.getAttribute("class") ?? ""}">`);
      }
    }
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode;
    const owner = node.parentElement;
    if (!node.data.trim() || !owner.checkVisibility({ visibilityProperty: true })) continue;
    const style = getComputedStyle(owner);
    const range = document.createRange();
    range.selectNodeContents(node);
    look(owner, node.data, channels(isText(owner) ? style.fill : style.color), range.getClientRects());
  }
  for (const field of document.querySelectorAll("input, textarea, select")) {
    if (!field.checkVisibility({ visibilityProperty: true })) continue;
    const hint = !field.value && field.placeholder;
    const style = getComputedStyle(field, hint ? "::placeholder" : null);
    const color = channels(style.color);
    color[3] *= Number(style.opacity);
    if (field.value || hint) look(field, field.value || field.placeholder, color, [field.getBoundingClientRect()]);
  }
  return { looked, low: [...new Set(low)] };
}
