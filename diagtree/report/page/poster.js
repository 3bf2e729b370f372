// The poster beside the walk: shown, marked with the way, scrolled and zoomed.

const Poster = ((data) => {
  const { el } = Elements;
  const MARKS = "http://www.w3.org/2000/svg";
  const LARGEST = 4;
  let session = null; // the walk whose way is marked
  let shown = ""; // the tree whose poster is on the screen
  let zoom = 1.2; // the smallest at which answers have 12 px

  const parts = {
    sheet: el("div", { id: "w-sheet", role: "region", "aria-label": "Poster: scroll with the arrow keys", tabindex: "0" }),
    tree: el("select", { id: "w-tree", "aria-label": "Tree of the poster", on: { change: () => show(parts.tree.value) } }),
  };

  const poster = () => parts.sheet.querySelector("svg");

  // The poster of a tree, and on it the way of a walk: of the one shown last where none is given.
  function show(tree, of = session) {
    session = of;
    if (shown !== tree) {
      const copy = document.importNode(document.getElementById(`w-poster-${tree}`).content, true);
      for (const link of copy.querySelectorAll("a")) follow(link);
      parts.sheet.replaceChildren(copy);
      shown = tree;
      parts.tree.value = tree;
      scaled(zoom);
    }
    mark();
  }

  // A connector leads to its box; a box that goes on in another tree to that tree's poster, here.
  function follow(link) {
    const target = link.getAttribute("href") || "";
    const box = link.querySelector("[id]");
    link.removeAttribute("href");
    // Without an address it is no link to the keyboard and to screen readers, unless it is said.
    link.setAttribute("tabindex", "0");
    link.setAttribute("role", "link");
    const go = () => {
      if (target.startsWith("#node-")) return centre(target.slice(6));
      const node = box && data.trees[shown].nodes[box.id.slice(5)];
      return node && node.tree && data.trees[node.tree] ? show(node.tree) : undefined;
    };
    link.addEventListener("click", go);
    link.addEventListener("keydown", (event) => event.key === "Enter" && go());
  }

  function mark() {
    const drawn = poster();
    for (const old of drawn.querySelectorAll(".w-mark")) old.remove();
    for (const stop of session.stops) {
      const box = stop.tree === shown ? drawn.querySelector(`[id="node-${stop.name}"]`) : null;
      if (box) drawn.append(...marked(box, stop === Walk.here(session)));
    }
    centre(Walk.here(session).name);
  }

  function shape(tag, given) {
    const made = document.createElementNS(MARKS, tag);
    for (const [name, value] of Object.entries({ class: "w-mark", ...given })) made.setAttribute(name, value);
    return made;
  }

  // The way is dashed; the place where the walk stands has a heavy frame, an arrow and a word.
  function marked(box, isHere) {
    const { x, y, width, height } = box.getBBox();
    const frame = { x: x - 5, y: y - 5, width: width + 10, height: height + 10, rx: 4, fill: "none", stroke: "#000" };
    if (!isHere) return [shape("rect", { ...frame, "stroke-width": 1.5, "stroke-dasharray": "6 4" })];
    const middle = y + height / 2;
    const word = shape("text", { x: x - 4, y: y - 10, "font-size": 16, "font-weight": "bold",
      stroke: "#fff", "stroke-width": 5, "stroke-linejoin": "round", "paint-order": "stroke" });
    word.textContent = "YOU ARE HERE";
    return [
      shape("rect", { ...frame, "stroke-width": 5, id: "w-here" }),
      shape("path", { d: `M ${x - 30},${middle - 12} L ${x - 9},${middle} L ${x - 30},${middle + 12} Z`, fill: "#000" }),
      word,
    ];
  }

  function centre(name) {
    const box = poster().querySelector(`[id="node-${CSS.escape(name)}"]`);
    if (!box) return;
    const [at, sheet] = [box.getBoundingClientRect(), parts.sheet.getBoundingClientRect()];
    parts.sheet.scrollLeft += at.left + at.width / 2 - sheet.left - sheet.width / 2;
    parts.sheet.scrollTop += at.top + at.height / 2 - sheet.top - sheet.height / 2;
  }

  const least = () => Math.min(1, (parts.sheet.clientWidth - 4) / poster().viewBox.baseVal.width);

  // Zoom, keeping what is at a point of the sheet where it is.
  function scaled(wanted, x = parts.sheet.clientWidth / 2, y = parts.sheet.clientHeight / 2) {
    const before = zoom;
    zoom = Math.min(LARGEST, Math.max(least(), wanted));
    const page = poster().viewBox.baseVal;
    poster().style.width = `${page.width * zoom}px`;
    poster().style.height = `${page.height * zoom}px`;
    parts.sheet.scrollLeft = ((parts.sheet.scrollLeft + x) * zoom) / before - x;
    parts.sheet.scrollTop = ((parts.sheet.scrollTop + y) * zoom) / before - y;
  }

  const fingers = new Map();
  let dragged = null;
  parts.sheet.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, event);
    dragged = event.pointerType === "mouse" && event.button === 0 ? event : null;
  });
  parts.sheet.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) return;
    const before = [...fingers.values()];
    fingers.set(event.pointerId, event);
    if (fingers.size === 2) {
      const apart = ([one, other]) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
      const [one, other] = [...fingers.values()];
      const sheet = parts.sheet.getBoundingClientRect();
      scaled((zoom * apart([one, other])) / Math.max(1, apart(before)),
        (one.clientX + other.clientX) / 2 - sheet.left, (one.clientY + other.clientY) / 2 - sheet.top);
    } else if (dragged) {
      parts.sheet.scrollLeft -= event.clientX - before[0].clientX;
      parts.sheet.scrollTop -= event.clientY - before[0].clientY;
    }
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
    parts.sheet.addEventListener(end, (event) => fingers.delete(event.pointerId));
  }
  parts.sheet.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const sheet = parts.sheet.getBoundingClientRect();
    scaled(zoom * Math.exp(-event.deltaY / 300), event.clientX - sheet.left, event.clientY - sheet.top);
  }, { passive: false });

  return Object.freeze({ sheet: parts.sheet, tree: parts.tree, show, centre, zoomed: (by) => scaled(zoom * by) });
})(DATA);
