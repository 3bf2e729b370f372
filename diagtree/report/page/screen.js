// What is on the screen. All words come to it as text: `append` and `textContent` make no mark-up.

(() => {
  const data = DATA;
  const MARKS = "http://www.w3.org/2000/svg";
  const LARGEST = 4;
  let session = Walk.begin();
  let changing = null; // the check that is asked anew
  let news = [];
  let refusal = "";
  let shown = ""; // the tree whose poster is on the screen
  let zoom = 1;

  function el(tag, given, ...inside) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(given || {})) {
      if (name === "on") for (const [event, act] of Object.entries(value)) made.addEventListener(event, act);
      else if (value !== false && value !== null) made.setAttribute(name, value === true ? "" : value);
    }
    made.append(...inside.flat().filter((one) => one !== null && one !== ""));
    return made;
  }

  // The second tap of a double one is not for what has come under the finger since.
  const button = (text, act, given = {}) =>
    el("button", { type: "button", ...given, on: { click: (event) => event.detail < 2 && act() } }, text);
  const list = (lines, tag = "ul") => (lines.length ? el(tag, {}, lines.map((line) => el("li", {}, line))) : null);
  const section = (title, name, ...inside) =>
    el("section", { "aria-labelledby": `w-${name}` }, el("h3", { id: `w-${name}` }, title), ...inside);
  const check = (name) => data.checks[name];
  const answerText = (name, id) => check(name).answers.find((one) => one.id === id).text;
  const addressed = (stop) => data.trees[stop.tree].at[stop.name] || "";

  // What a reply comes to

  function reply(found) {
    refusal = found.refused || "";
    if (found.session) {
      news = told(session, found.session);
      session = found.session;
      changing = null;
      keep();
    }
    draw();
    focusOn(refusal ? "w-field" : "w-heading");
  }

  function told(before, after) {
    const lines = [];
    for (const [name, finding] of after.known.findings) {
      if (before.known.findings.get(name) !== finding) lines.push(...taken(name, finding));
    }
    const old = before.stops;
    let same = 0;
    const alike = (one, other) =>
      one && other && one.tree === other.tree && one.name === other.name && one.passing === other.passing;
    while (alike(old[same], after.stops[same])) same += 1;
    const last = old[old.length - 1];
    after.stops.forEach((stop, at) => {
      const wasAsked = stop.tree === last.tree && stop.name === last.name;
      if (at >= same && at < after.stops.length - 1 && !wasAsked) lines.push(passedBy(after, stop, after.stops[at + 1]));
    });
    return lines.filter(Boolean);
  }

  function taken(name, finding) {
    const lines = [];
    if (finding.values) {
      const mean = finding.values.length > 1 ? `, the mean of ${finding.values.length} readings` : "";
      lines.push(`${reading(name, finding)}${mean}: ${answerText(name, finding.answer)}.`);
    }
    if (finding.codes) {
      const named = finding.codes.map((code) => (data.codes[code] ? `${code} (${data.codes[code]})` : code));
      lines.push(`${named.join(", ") || "No code stored"}: ${answerText(name, finding.answer)}.`);
    }
    if (Walk.tooClose(finding)) {
      const kept = check(name).independent ? "counts together with the first" : "replaces this one";
      lines.push(`Too close to call: ${check(name).ask} The reading lies so near a limit that ` +
        `'${answerText(name, finding.answer)}' is not sure. ${check(name).clear} Take it again below; it ${kept}.`);
    }
    return lines;
  }

  const reading = (name, finding) => `${Number(Numbers.mean(finding.values).toPrecision(5))} ${check(name).unit}`.trim();

  function passedBy(after, stop, next) {
    if (stop.passing === "onward") {
      return `On in another tree: ${data.trees[next.tree].title}. All answers are kept. ${stop.node.note}`.trim();
    }
    const name = stop.node.check;
    if (stop.passing === "answered") {
      return `Known already: ${check(name).ask} ${answerText(name, after.known.findings.get(name).answer)}.`;
    }
    if (stop.passing === "cannot-tell") return `Could not be told before: ${check(name).ask}`;
    return `Left out: ${check(name).ask} ${whyNot(after, name)}`;
  }

  function whyNot(of, name) {
    if (!check(name).applies) return "It does not apply to this build.";
    const other = Walk.forbiddenBy(of.known, check(name));
    return other
      ? `It is not done after this answer: ${check(other).ask} ${answerText(other, of.known.findings.get(other).answer)}.`
      : "";
  }

  // The question

  function numberOf() {
    const met = new Set(session.stops.slice(0, -1).map((stop) => stop.node.check).filter(Boolean));
    const { findings, unknown } = session.known;
    return 1 + [...met].filter((name) => findings.has(name) || unknown.has(name)).length;
  }

  function heading(text, address) {
    const at = address ? el("span", { class: "w-at" }, ` ${address} on the poster`) : null;
    return el("h2", { id: "w-heading", tabindex: "-1" }, text, at);
  }

  function caution(one, ...more) {
    return el("p", { class: `w-caution w-${one.level}` }, el("strong", {}, `${one.word}: `), one.say, ...more);
  }

  const cautionsOf = (names) => names.filter((name) => data.cautions[name]).map((name) => caution(data.cautions[name]));

  function question() {
    const due = Walk.due(session);
    if (due.length) return stopped(due[0], due.length);
    if (changing) return asking(changing, `Told anew: ${check(changing).ask}`, "", [check(changing).how, check(changing).tools]);
    const name = Walk.asked(session);
    if (name) {
      const first = Walk.opening(session).map((step) => data.steps[step].title);
      const one = check(name);
      const lines = [one.how, Walk.here(session).node.note, one.tools,
        first.length ? `This comes first: ${first.join("; ")}.` : "", one.needs, one.wait, one.takes];
      return asking(name, `${numberOf()}. ${one.ask}`, addressed(Walk.here(session)), lines);
    }
    return Walk.outcome(session) ? ended() : strayed();
  }

  function stopped(one, left) {
    return [
      heading(left > 1 ? `Read these ${left} cautions first` : "Read this caution first", ""),
      caution(one),
      el("p", {}, button("I have read this", () => {
        session = Walk.acknowledge(session, one);
        news = [];
        draw();
        focusOn("w-heading");
      }, { class: "w-answer", "aria-describedby": "w-question-part" })),
      controls(false),
    ];
  }

  function asking(name, title, address, lines) {
    const one = check(name);
    const give = (text, unit) =>
      reply(changing ? Walk.revise(session, name, text, unit) : Walk.answer(session, text, unit));
    const cautions = changing ? cautionsOf(one.cautions) : Walk.standing(session).map((each) => caution(each));
    const tapped = one.answers.map((answer, at) =>
      el("li", {}, button(`${at + 1}. ${answer.shown}`, () => give(answer.id, 0), { class: "w-answer" })));
    const typed = one.kind === "reading" || one.kind === "codes";
    return [
      heading(title, address),
      ...cautions,
      list(lines.filter(Boolean)),
      one.hint && !typed ? el("p", {}, one.hint) : null,
      typed ? field(one, give) : null,
      typed ? el("p", {}, "Or say only which it is:") : null,
      el("ul", { class: "w-answers", "aria-labelledby": "w-heading" }, tapped),
      controls(Boolean(changing || Walk.here(session).node.else), () => give("?", 0)),
    ];
  }

  function field(one, give) {
    const units = one.units || [];
    const box = el("input", {
      id: "w-field", type: "text", autocomplete: "off", autocapitalize: "characters", spellcheck: "false",
      inputmode: one.kind === "reading" && one.bands.every((band) => !(band[0] < 0 || band[1] < 0)) ? "decimal" : "text",
      "aria-describedby": "w-refusal", "aria-invalid": refusal ? "true" : "false",
    });
    const unit = units.length > 1
      ? el("select", { id: "w-unit", "aria-label": "Unit" }, units.map((each, at) => el("option", { value: at }, each.unit)))
      : null;
    const send = (event) => {
      event.preventDefault();
      give(box.value, unit ? Number(unit.value) : 0);
    };
    const label = one.kind === "reading" && units.length === 1 && one.unit ? `The reading in ${one.unit}` : one.hint;
    return el("form", { class: "w-form", on: { submit: send } },
      el("label", { for: "w-field" }, label), el("span", { class: "w-row" }, box, unit || (one.unit ? ` ${one.unit}` : ""),
        el("button", { type: "submit", class: "w-answer" }, "Take this")));
  }

  function controls(skip, cannot) {
    return el("p", { class: "w-row" },
      skip ? button("Cannot tell", cannot) : null,
      changing ? button("Leave it as it was", () => {
        changing = null;
        refusal = "";
        draw();
        focusOn("w-heading");
      }) : null,
      session.replies.length && !changing ? button("Back", () => {
        news = [];
        reply(Walk.back(session));
      }) : null,
      session.replies.length ? button("Begin again", () => {
        session = Walk.begin();
        news = [];
        changing = null;
        refusal = "";
        keep();
        draw();
        focusOn("w-heading");
      }) : null);
  }

  function strayed() {
    const name = Walk.here(session).node.check;
    const why = name && check(name) ? `${check(name).ask} ${whyNot(session, name)} ` : "";
    return [heading("The walk stops here", addressed(Walk.here(session))), el("p", {}, `${why}The tree has no way on.`),
      controls(false)];
  }

  // The end

  function ended() {
    const stop = Walk.outcome(session);
    const faults = stop.node.faults.filter((name) => data.faults[name]).map((name) => data.faults[name]);
    const made = Walk.scope(session);
    const now = Walk.belief(session);
    const left = Walk.residual(now, made);
    return [
      heading(`Outcome: ${faults.map((fault) => fault.title).join(" and ")}`, addressed(stop)),
      ...Walk.standing(session).map((one) => caution(one)),
      ...faults.map((fault) => (fault.why ? el("p", {}, fault.why) : null)),
      stop.node.note ? el("p", {}, stop.node.note) : null,
      ...elsewhere(stop, now),
      left === null ? null
        : el("p", { id: "w-residual" }, `After the work below ${Numbers.inHundred(left)} such cars would come back with another cause.`),
      ...(made ? work(made) : made === undefined
        ? [el("p", {}, "This work was not reckoned beforehand for all that is open now: `diagtree walk` reckons it.")] : []),
      ...afterwards(faults),
      controls(false),
    ];
  }

  function elsewhere(stop, now) {
    if (!now.joint) return [];
    const ranked = Walk.ranked(now);
    if (!ranked.length) return [];
    const [[cause, chance]] = ranked;
    const sum = ranked.reduce((all, [one, share]) => (stop.node.faults.includes(one.id) ? all + share : all), 0);
    if (stop.node.faults.includes(cause.id) || chance <= sum) return [];
    const untold = data.order.checks.filter((name) => session.known.unknown.has(name)).map((name) => check(name).ask);
    const first = untold.length
      ? `First have an answer to what could not be told: ${untold.join(" ")}`
      : "First take the doubtful answers again, before anything is opened.";
    return [el("p", { class: "w-caution w-warn" },
      `The answers speak more for another cause than for this outcome: ${cause.title}. ${first}`)];
  }

  function work(made) {
    const lines = (pool, at, say) => list(made[at].map((number) => say(pool[number])));
    const offered = made.offers.map((at) => data.offers[at]).filter((one) => one.ready).map((one) => one.say);
    return [
      el("p", {}, el("strong", {}, made.steps.length ? `In all: ${made.inAll}.` : made.noWork)),
      made.steps.length ? section("Work", "work", list(made.steps.map(([name, why]) => step(name, why)), "ol")) : null,
      made.parts.length ? section("Parts, bought singly", "parts", lines(data.parts, "parts", (part) =>
        [el("strong", {}, part.data.number || "no number"), ` ${part.say}`, ...part.details.map((line) => el("p", {}, line))])) : null,
      made.buy.length ? section("Cheapest to buy", "buy", lines(data.buy, "buy", (one) =>
        [el("strong", {}, one.data.number), ` ${one.say}`])) : null,
      made.bill ? el("p", {}, made.bill) : null,
      made.closing.say ? el("p", {}, made.closing.say) : null,
      offered.length ? section("While it is open", "offers", list(offered),
        el("p", {}, "Savings do not add up: two offers may lie behind the same cover.")) : null,
      ...made.remarks.map((line) => el("p", {}, line)),
    ];
  }

  function step(name, why) {
    const one = data.steps[name];
    const asks = Walk.openedFor(session, name).map((each) => `'${check(each).ask}'`).join(", ");
    return [
      `${one.title}, ${one.hours}`,
      el("p", {}, `Why: ${why || `opened for the check ${asks}`}`),
      ...cautionsOf(one.cautions),
      one.tools ? el("p", {}, `Tools: ${one.tools}`) : null,
      list(one.do),
    ].filter(Boolean);
  }

  function afterwards(faults) {
    const lines = [...new Set(faults.flatMap((fault) => fault.verify))];
    return lines.length ? [section("Afterwards", "verify", list(lines))] : [];
  }

  // Beside the question

  function beside() {
    const now = Walk.belief(session);
    const found = [];
    if (!now.joint) {
      found.push(section("Doubt", "doubt", el("p", {}, now.contradiction.length
        ? "These answers contradict one another. Take the doubtful ones again:"
        : "No cause in this tree is known for this build."), list(now.contradiction.map(said))));
    } else {
      if (now.conflict > 1) {
        found.push(section("Doubt", "doubt",
          el("p", {}, "The answers do not fit one cause. Look for two, or take the doubtful answers again.")));
      }
      found.push(section(`Still possible, of 100 cars like this (${data.trees[Walk.here(session).tree].ground})`, "belief", chances(now)));
    }
    const advised = Walk.advice(session);
    if (advised) found.push(section("Advice", "advice", el("p", {}, advised)));
    else if (advised === undefined && data.engines) {
      found.push(section("Advice", "advice", el("p", {}, "None was worked out beforehand for this way: `diagtree walk` has it.")));
    }
    const off = Walk.opened(session).map((name) => data.steps[name].title);
    if (off.length) found.push(section("Off the car", "off", list(off)));
    const way = wayLines();
    if (way) found.push(section("The way so far", "way", way));
    return found;
  }

  function chances(now) {
    const ranked = Walk.ranked(now);
    const often = ranked.filter(([, chance]) => 100 * chance >= 5 - 1e-9);
    const rare = ranked.length - often.length;
    const rows = often.map(([cause, chance]) => {
      const dots = Math.min(19, Math.floor(chance * 20 + 0.5 + 1e-9));
      return [el("span", { class: "w-dots", "aria-hidden": "true" }, "\u25cf".repeat(dots) + "\u25cb".repeat(20 - dots)),
        `${Numbers.inHundred(chance)}: ${cause.title}`];
    });
    if (rare) rows.push(`fewer than 5 in 100 each: ${rare} more ${rare > 1 ? "causes" : "cause"}`);
    return list(rows);
  }

  function said(name) {
    const finding = session.known.findings.get(name);
    if (!finding) return `${check(name).ask} cannot tell.`;
    const what = finding.values ? ` (${reading(name, finding)})` : finding.codes && finding.codes.length ? ` (${finding.codes.join("+")})` : "";
    return `${check(name).ask} ${answerText(name, finding.answer)}${what}.`;
  }

  function wayLines() {
    const met = session.stops.map((stop) => [stop.node.check, addressed(stop)]);
    const names = [...new Set([...met.map(([name]) => name), ...session.replies.map((one) => one.check)])].filter((name) =>
      name && (session.known.findings.has(name) || session.known.unknown.has(name)));
    return list(names.map((name) => {
      const found = met.find(([one]) => one === name);
      const finding = session.known.findings.get(name);
      const change = (text) => button(text, () => {
        changing = name;
        refusal = "";
        draw();
        focusOn("w-heading");
      }, { "aria-label": `${text}: ${check(name).ask}` });
      return [found ? `${found[1]} ` : "", said(name), found ? "" : " (not asked on this way)", " ", change("Change"),
        finding && finding.values && check(name).independent ? again(name) : null].filter(Boolean);
    }), "ol");
  }

  // A further reading beside the first: the check says that repeats are independent.
  function again(name) {
    const box = el("input", { type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": `A further reading in ${check(name).unit}: ${check(name).ask}` });
    const send = (event) => {
      event.preventDefault();
      reply(Walk.tell(session, name, box.value, 0));
    };
    return el("form", { class: "w-form", on: { submit: send } }, el("span", { class: "w-row" }, box, ` ${check(name).unit}`,
      el("button", { type: "submit" }, "Add a reading")));
  }

  // The page

  const parts = {
    question: el("section", { id: "w-question-part", "aria-labelledby": "w-heading" }),
    refusal: el("p", { id: "w-refusal", class: "w-refusal", role: "alert" }),
    news: el("div", { id: "w-news", role: "status" }),
    beside: el("div", { id: "w-beside" }),
    sheet: el("div", { id: "w-sheet", role: "region", "aria-label": "Poster: scroll with the arrow keys", tabindex: "0" }),
    tree: el("select", { id: "w-tree", "aria-label": "Tree of the poster", on: { change: () => show(parts.tree.value) } }),
  };

  function draw() {
    parts.question.replaceChildren(...question().flat().filter(Boolean));
    parts.refusal.textContent = refusal;
    parts.news.replaceChildren(...news.map((line) => el("p", {}, line)));
    parts.beside.replaceChildren(...beside());
    show(Walk.here(session).tree);
  }

  function focusOn(id) {
    const found = document.getElementById(id) || document.getElementById("w-heading");
    if (found) found.focus({ preventScroll: id === "w-field" });
    if (id === "w-heading") parts.question.scrollIntoView({ block: "nearest" });
  }

  // The poster

  const poster = () => parts.sheet.querySelector("svg");

  function show(tree) {
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
    link.addEventListener("click", () => {
      if (target.startsWith("#node-")) return centre(target.slice(6));
      const node = box && data.trees[shown].nodes[box.id.slice(5)];
      return node && node.tree && data.trees[node.tree] ? show(node.tree) : undefined;
    });
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

  // What is kept: the replies, in the page's own address, so that a reload goes on where the walk stood.

  function keep() {
    const kept = session.replies.map((one) => [one.check, one.finding ? one.text : "?", one.unit || 0, one.anew ? 1 : 0]);
    try {
      history.replaceState(null, "", kept.length ? `#w=${encodeURIComponent(JSON.stringify(kept))}` : "#");
    } catch {
      // A browser that forbids it keeps nothing.
    }
  }

  function resume() {
    let found = Walk.begin();
    try {
      const kept = JSON.parse(decodeURIComponent(location.hash.slice(3)) || "[]");
      for (const [name, text, unit, anew] of kept) {
        const units = Object.hasOwn(data.checks, name) ? (data.checks[name].units || [0]).length : 1;
        const told = Walk.tell(found, name, text, unit < units ? unit : 0, Boolean(anew));
        if (!told.session) break;
        found = told.session;
      }
    } catch {
      // An address that somebody wrote by hand: what could be read of it stands.
    }
    return found;
  }

  function begin() {
    const title = data.trees[data.start].title;
    const about = [data.trees[data.start].covers, data.engine, data.build ? `build ${data.build}` : ""].filter(Boolean);
    parts.tree.append(...Object.entries(data.trees).map(([name, one]) => el("option", { value: name }, one.title)));
    document.getElementById("w-page").append(
      el("header", {}, el("h1", {}, title), el("p", {}, about.join(", ")), el("p", { class: "w-notice" }, data.notice)),
      el("div", { class: "w-panes" },
        el("main", { id: "w-walk" }, parts.news, parts.refusal, parts.question, parts.beside),
        el("section", { id: "w-poster", "aria-labelledby": "w-poster-title" },
          el("h2", { id: "w-poster-title" }, "Poster"),
          el("p", { class: "w-row" },
            button("\u2212", () => scaled(zoom / 1.4), { "aria-label": "Smaller" }),
            button("+", () => scaled(zoom * 1.4), { "aria-label": "Larger" }),
            button("Whole", () => scaled(0)),
            button("Where I am", () => {
              show(Walk.here(session).tree);
              centre(Walk.here(session).name);
            }),
            Object.keys(data.trees).length > 1 ? parts.tree : null),
          parts.sheet)));
    session = resume();
    draw();
  }

  begin();

  // The walk as plain functions, for those who want to try it without taps: it is given replies, and keeps nothing.
  Object.defineProperty(window, "diagtree", { value: Object.freeze({
    state: () => Walk.state(session),
    replay: (replies) => {
      let found = Walk.begin();
      const refused = replies.map(([kind, ...rest]) => {
        const told = Walk[kind](found, ...rest);
        found = told.session || found;
        return Boolean(told.refused);
      });
      return { ...Walk.state(found), refused };
    },
  }) });
})();
