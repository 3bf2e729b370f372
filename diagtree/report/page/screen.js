// What is on the screen: the question, what stands beside it, the end, and what a tap does.

(() => {
  const data = DATA;
  const { el, button, list, section, heading, caution } = Elements;
  let session = Walk.begin();
  let changing = null; // the check that is asked anew
  let news = [];
  let refusal = "";

  const check = (name) => data.checks[name];
  const addressed = (stop) => data.trees[stop.tree].at[stop.name] || "";

  // What a reply comes to

  function reply(found) {
    refusal = found.refused || "";
    if (found.session) {
      news = Words.told(session, found.session);
      session = found.session;
      changing = null;
      keep();
    }
    draw();
    focusOn(refusal ? "w-field" : "w-heading");
  }

  // The question

  function numberOf() {
    const met = new Set(session.stops.slice(0, -1).map((stop) => stop.node.check).filter(Boolean));
    const { findings, unknown } = session.known;
    return 1 + [...met].filter((name) => findings.has(name) || unknown.has(name)).length;
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
    return Walk.outcome(session) ? [...Ending.ended(session), controls(false)] : strayed();
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
    const why = name && check(name) ? `${check(name).ask} ${Words.whyNot(session, name)} ` : "";
    return [heading("The walk stops here", addressed(Walk.here(session))), el("p", {}, `${why}The tree has no way on.`),
      controls(false)];
  }

  // Beside the question

  function beside() {
    const now = Walk.belief(session);
    const found = [];
    if (!now.joint) {
      found.push(section("Doubt", "doubt", el("p", {}, now.contradiction.length
        ? "These answers contradict one another. Take the doubtful ones again:"
        : "No cause in this tree is known for this build."), list(now.contradiction.map((name) => Words.said(session, name)))));
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
      return [found ? `${found[1]} ` : "", Words.said(session, name), found ? "" : " (not asked on this way)", " ", change("Change"),
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
  };

  function draw() {
    parts.question.replaceChildren(...question().flat().filter(Boolean));
    parts.refusal.textContent = refusal;
    parts.news.replaceChildren(...news.map((line) => el("p", {}, line)));
    parts.beside.replaceChildren(...beside());
    Poster.show(Walk.here(session).tree, session);
  }

  function focusOn(id) {
    const found = document.getElementById(id) || document.getElementById("w-heading");
    if (found) found.focus({ preventScroll: id === "w-field" });
    if (id === "w-heading") parts.question.scrollIntoView({ block: "nearest" });
  }

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
    const edition = data.trees[data.start].edition.join(" \u00b7 ");
    const about = [data.trees[data.start].covers, data.engine, data.build ? `build ${data.build}` : ""].filter(Boolean);
    Poster.tree.append(...Object.entries(data.trees).map(([name, one]) => el("option", { value: name }, one.title)));
    document.getElementById("w-page").append(
      el("header", {}, el("h1", {}, title), el("p", {}, about.join(", ")),
        edition ? el("p", { class: "w-notice" }, edition) : null, el("p", { class: "w-notice" }, data.notice)),
      el("div", { class: "w-panes" },
        el("main", { id: "w-walk" }, parts.news, parts.refusal, parts.question, parts.beside),
        el("section", { id: "w-poster", "aria-labelledby": "w-poster-title" },
          el("h2", { id: "w-poster-title" }, "Poster"),
          el("p", { class: "w-row" },
            button("\u2212", () => Poster.zoomed(1 / 1.4), { "aria-label": "Smaller" }),
            button("+", () => Poster.zoomed(1.4), { "aria-label": "Larger" }),
            button("Whole", () => Poster.zoomed(0)),
            button("Where I am", () => {
              Poster.show(Walk.here(session).tree);
              Poster.centre(Walk.here(session).name);
            }),
            Object.keys(data.trees).length > 1 ? Poster.tree : null),
          Poster.sheet)));
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
