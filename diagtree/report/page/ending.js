// What stands at an outcome: the faults, the work for them, what comes afterwards.

const Ending = ((data) => {
  const { el, list, section, heading, caution } = Elements;
  const check = (name) => data.checks[name];
  const addressed = (stop) => data.trees[stop.tree].at[stop.name] || "";
  const cautionsOf = (names) => names.filter((name) => data.cautions[name]).map((name) => caution(data.cautions[name]));

  function ended(session) {
    const stop = Walk.outcome(session);
    const faults = stop.node.faults.filter((name) => data.faults[name]).map((name) => data.faults[name]);
    const made = Walk.scope(session);
    const now = Walk.belief(session);
    const left = Walk.residual(now, made);
    const titles = faults.map((fault) => fault.title); // they may hold commas of their own
    return [
      heading(`Outcome: ${titles.length > 1 ? "one of: " : ""}${titles.join("; ")}`, addressed(stop)),
      ...Walk.standing(session).map((one) => caution(one)),
      ...faults.map((fault) => (fault.why ? el("p", {}, fault.why) : null)),
      stop.node.note ? el("p", {}, stop.node.note) : null,
      ...elsewhere(session, stop, now),
      left === null ? null
        : el("p", { id: "w-residual" }, `After the work below ${Numbers.inHundred(left)} such cars would come back with another cause.`),
      ...(made ? work(session, made) : made === undefined
        ? [el("p", {}, "This work was not reckoned beforehand for all that is open now: `diagtree walk` reckons it.")] : []),
      ...afterwards(faults),
    ];
  }

  function elsewhere(session, stop, now) {
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

  function work(session, made) {
    const lines = (pool, at, say) => list(made[at].map((number) => say(pool[number])));
    const offered = made.offers.map((at) => data.offers[at]).filter((one) => one.ready).map((one) => one.say);
    return [
      el("p", {}, el("strong", {}, made.steps.length ? `In all: ${made.inAll}.` : made.noWork)),
      made.steps.length ? section("Work", "work", list(made.steps.map(([name, why]) => step(session, name, why)), "ol")) : null,
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

  function step(session, name, why) {
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

  return Object.freeze({ ended });
})(DATA);
