const DATA = JSON.parse(document.getElementById("w-data").textContent);

// A walk: an immutable value, made anew from all replies at each step, as `diagtree walk` makes it.

const Walk = ((data) => {
  const has = (object, name) => Object.hasOwn(object, name);
  const LONGEST_LIST = 10000;

  function begin() {
    return replayed([], new Set());
  }

  function replayed(replies, acknowledged) {
    const known = gather(replies);
    return Object.freeze({ replies, acknowledged, known, stops: follow(known) });
  }

  function gather(replies) {
    const findings = new Map();
    const unknown = new Set();
    for (const reply of replies) {
      if (reply.finding) {
        const earlier = reply.anew ? undefined : findings.get(reply.check);
        findings.set(reply.check, repeated(reply.check, earlier, reply.finding));
        unknown.delete(reply.check);
      } else {
        unknown.add(reply.check);
        findings.delete(reply.check);
      }
    }
    const ordered = new Map();
    for (const name of data.order.checks) if (findings.has(name)) ordered.set(name, findings.get(name));
    return { findings: ordered, unknown };
  }

  function repeated(name, earlier, finding) {
    const check = data.checks[name];
    if (!check.independent || !earlier || !earlier.values || !finding.values) return finding;
    return weighed(name, [...earlier.values, ...finding.values]);
  }

  // The way

  function follow(known) {
    const stops = [];
    const met = new Set();
    let tree = data.start;
    let name = data.trees[tree].start;
    while (has(data.trees[tree].nodes, name) && !met.has(`${tree}/${name}`)) {
      met.add(`${tree}/${name}`);
      const node = data.trees[tree].nodes[name];
      const [passing, next] = pass(node, known);
      stops.push({ tree, name, node, passing });
      if (passing === "onward") {
        tree = node.tree;
        name = data.trees[tree].start;
      } else if (!next) {
        return stops;
      } else {
        name = next;
      }
    }
    stops[stops.length - 1].passing = "no-way-on";
    return stops;
  }

  function pass(node, known) {
    if (node.faults) return ["outcome", ""];
    if (node.tree) return [has(data.trees, node.tree) ? "onward" : "no-way-on", ""];
    const check = has(data.checks, node.check) ? data.checks[node.check] : null;
    if (!check) return ["no-way-on", ""];
    const finding = known.findings.get(node.check);
    if (finding) return ["answered", has(node.then, finding.answer) ? node.then[finding.answer] : "?"];
    if (!check.applies) return otherwise(node, "does-not-apply");
    if (forbiddenBy(known, check)) return otherwise(node, "never-after");
    if (known.unknown.has(node.check) && node.else) return ["cannot-tell", node.else];
    return ["asked", ""];
  }

  function otherwise(node, reason) {
    return node.else ? [reason, node.else] : ["no-way-on", ""];
  }

  function forbiddenBy(known, check) {
    for (const [other, answers] of Object.entries(check.never)) {
      const finding = known.findings.get(other);
      if (finding && answers.includes(finding.answer)) return other;
    }
    return null;
  }

  const here = (session) => session.stops[session.stops.length - 1];
  const asked = (session) => (here(session).passing === "asked" ? here(session).node.check : null);
  const outcome = (session) => (here(session).node.faults ? here(session) : null);

  // Answers

  // An answer as typed or tapped, read as a finding or refused with a sentence. `unit` is one of the reading's.
  function read(name, text, unit = 0) {
    const check = data.checks[name];
    const typed = text.trim();
    const id = [typed, typed.toLowerCase()].find((one) => check.answers.some((answer) => answer.id === one));
    if (id) return { finding: plain(name, id) };
    if (check.kind === "reading") return readReading(name, typed, unit);
    if (check.kind === "codes") return readCodes(name, typed);
    return { refused: "That is no answer here. Choose one of the list." };
  }

  function plain(name, id) {
    return { check: name, answer: id, shares: data.checks[name].answers.map((one) => (one.id === id ? 1 : 0)) };
  }

  function readReading(name, typed, unit) {
    const check = data.checks[name];
    const found = Numbers.parse(typed, check.units[unit]);
    if (found.refused) return found;
    const span = check.plausible;
    if (span && ((span[0] !== null && found.value < span[0]) || (span[1] !== null && found.value > span[1]))) {
      return { refused: `${typed} ${check.units[unit].unit} is not plausible here. ${check.between} Read the gauge again.` };
    }
    return { finding: weighed(name, [found.value]) };
  }

  function weighed(name, values) {
    const check = data.checks[name];
    const value = Numbers.mean(values);
    const steering = check.bands.findIndex((band) => Numbers.holds(band, value));
    const shares = Numbers.shares(value, check.uncertainty / Math.sqrt(values.length), check.bands);
    return { check: name, answer: check.answers[steering].id, shares, values };
  }

  function readCodes(name, typed) {
    if (typed.length > LONGEST_LIST) return { refused: "That is too long for a list of codes." };
    const check = data.checks[name];
    const words = typed.split(/[\s+,;]+/).filter(Boolean).map((word) => word.toUpperCase());
    const one = /^[PCBU][0-3][0-9A-F]{3}$/;
    let codes = words.length === 1 && words[0] === "-" ? [] : words;
    if (codes.some((word) => !one.test(word))) {
      const among = typed.toUpperCase().match(/(?<![\p{L}\p{N}])[PCBU][0-3][0-9A-F]{3}(?![\p{L}\p{N}])/gu);
      const prose = /(?<![\p{L}\p{N}])\p{L}{2,}(?![\p{L}\p{N}])/u.test(typed);
      if (!among || !prose) {
        const wrong = codes.find((word) => !one.test(word));
        return { refused: `${wrong.slice(0, 40)} is no trouble code. Type codes such as P0016+P0018, or - for none.` };
      }
      codes = among;
    }
    codes = [...new Set(codes)];
    const at = check.groups.findIndex((groups) => groups.every((group) => group.some((code) => codes.includes(code))));
    if (at < 0) return { refused: "No answer of this check fits these codes. Choose one of the list." };
    return { finding: { ...plain(name, check.answers[at].id), codes } };
  }

  function tell(session, name, text, unit = 0, anew = false) {
    if (!has(data.checks, name)) return { refused: "There is no such check here." };
    const check = data.checks[name];
    const forbidden = session.known.findings.has(name) ? null : forbiddenBy(session.known, check);
    if (forbidden && !anew) return { refused: `It is not done after this answer: ${data.checks[forbidden].ask}` };
    if (text.trim() === "?") return { session: told(session, { check: name }) };
    if (!check.applies) return { refused: "This check does not apply to this build." };
    const found = read(name, text, unit);
    if (found.refused) return found;
    return { session: told(session, { check: name, finding: found.finding, anew, text, unit }) };
  }

  function told(session, reply) {
    return replayed([...session.replies, Object.freeze(reply)], session.acknowledged);
  }

  function answer(session, text, unit = 0) {
    if (text.trim() === "?") return cannotTell(session);
    const name = asked(session);
    if (!name) return { refused: "The walk has ended here. Go back to change an answer." };
    if (!text.trim()) return { refused: "Nothing was typed." };
    return tell(session, name, text, unit);
  }

  function cannotTell(session) {
    const name = asked(session);
    if (!name) return { refused: "The walk has ended here. Go back to change an answer." };
    if (!here(session).node.else) {
      const open = others(session).map((one) => data.checks[one].ask).slice(0, 3);
      const instead = open.length ? ` Other checks of this tree that are still open: ${open.join(" ")}` : "";
      return { refused: `The tree has no way on from here without this answer.${instead}` };
    }
    return { session: told(session, { check: name }) };
  }

  // The other checks of this tree that may still be done, in the tree's order.
  function others(session) {
    const nodes = Object.values(data.trees[here(session).tree].nodes);
    const names = [...new Set(nodes.map((node) => node.check).filter((name) => name && has(data.checks, name)))];
    const { findings, unknown } = session.known;
    return names.filter((name) =>
      name !== asked(session) && !findings.has(name) && !unknown.has(name) && data.checks[name].applies &&
      !forbiddenBy(session.known, data.checks[name]));
  }

  function back(session) {
    if (!session.replies.length) return { refused: "There is nothing to take back: this is where the walk began." };
    return { session: replayed(session.replies.slice(0, -1), session.acknowledged) };
  }

  function revise(session, name, text, unit = 0) {
    if (!session.known.findings.has(name) && !session.known.unknown.has(name)) {
      return { refused: "That was not told yet." };
    }
    return tell(session, name, text, unit, true);
  }

  const tooClose = (finding) => Math.max(...finding.shares) < 0.95;

  // What is open, and cautions

  // The steps that checks have opened, in the engine's order.
  function opened(session) {
    const found = new Set();
    for (const name of session.known.findings.keys()) for (const step of data.checks[name].behind) found.add(step);
    return data.order.work.filter((step) => found.has(step));
  }

  function opening(session) {
    const name = asked(session);
    if (!name) return [];
    const done = new Set(opened(session));
    return data.checks[name].behind.filter((step) => !done.has(step));
  }

  function standing(session) {
    const stop = here(session);
    const place = `${stop.tree}/${stop.name}`;
    const named = [];
    const name = asked(session);
    if (name) {
      for (const caution of data.checks[name].cautions) named.push([place, caution]);
      for (const step of opening(session)) for (const caution of data.work[step]) named.push([place, caution]);
    }
    if (outcome(session)) {
      for (const caution of stop.node.cautions) named.push([place, caution]);
      for (const fault of stop.node.faults) {
        if (has(data.faults, fault)) for (const caution of data.faults[fault].cautions) named.push([place, caution]);
      }
    }
    for (const tree of new Set(session.stops.map((one) => one.tree))) {
      for (const caution of data.trees[tree].cautions) named.push([tree, caution]);
    }
    const found = new Map();
    for (const [where, caution] of named) {
      if (!has(data.cautions, caution)) continue;
      if (!found.has(caution)) found.set(caution, { id: caution, ...data.cautions[caution], keys: new Set() });
      found.get(caution).keys.add(`${where} ${caution}`);
    }
    const levels = ["stop", "warn", "note"];
    return [...found.values()].sort((one, other) => levels.indexOf(one.level) - levels.indexOf(other.level));
  }

  function due(session) {
    return standing(session).filter((one) =>
      one.level === "stop" && [...one.keys].some((key) => !session.acknowledged.has(key)));
  }

  function acknowledge(session, caution) {
    return Object.freeze({ ...session, acknowledged: new Set([...session.acknowledged, ...caution.keys]) });
  }

  // Belief

  function logSum(logs) {
    const top = Math.max(...logs, -Infinity);
    return top === -Infinity ? top : top + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - top), 0));
  }

  // P(cause | answers) over the causes of the tree in which the walk stands, in its order.
  function belief(session) {
    const tree = data.trees[here(session).tree];
    const logs = tree.causes.map((cause) => (cause.log === null ? -Infinity : cause.log));
    const whole = logSum(logs);
    if (whole === -Infinity) return { contradiction: [] };
    const prior = logs.map((log) => log - whole);
    const names = [...session.known.findings.keys()];
    const seen = names.map((name) => likelihood(tree, session.known.findings.get(name)));
    const posterior = prior.map((log, at) => seen.reduce((sum, one) => sum + one[at], log));
    const evidence = logSum(posterior);
    if (evidence === -Infinity) return { contradiction: contradicting(prior, seen, names) };
    const joint = posterior.map((log) => Math.exp(log - evidence));
    const total = joint.reduce((sum, one) => sum + one, 0);
    const alone = seen.map((one) => logSum(one.map((log, at) => log + prior[at])));
    const conflict = names.length ? (alone.reduce((sum, one) => sum + one, 0) - evidence) / Math.LN2 : 0;
    return { tree, joint: joint.map((one) => one / total), conflict };
  }

  function likelihood(tree, finding) {
    const rows = tree.rows[finding.check];
    const columns = rows.columns.map((column) =>
      Math.log(column.reduce((sum, chance, at) => sum + chance * finding.shares[at], 0)));
    return rows.of.map((at) => columns[at]);
  }

  // A smallest set of checks whose answers together rule every cause out.
  function contradicting(prior, seen, names) {
    const causes = prior.map((log, at) => at).filter((at) => prior[at] > -Infinity);
    const covers = (chosen) => causes.every((at) => chosen.some((one) => seen[one][at] === -Infinity));
    const search = (chosen, from, left) => {
      if (!left) return covers(chosen) ? chosen : null;
      for (let at = from; at <= names.length - left; at += 1) {
        const found = search([...chosen, at], at + 1, left - 1);
        if (found) return found;
      }
      return null;
    };
    for (let size = 1; size <= Math.min(4, names.length); size += 1) {
      const found = search([], 0, size);
      if (found) return found.map((at) => names[at]);
    }
    return names;
  }

  // Causes that the build can have, the likeliest first.
  function ranked(now) {
    const able = now.tree.causes.map((cause, at) => [cause, now.joint[at]]).filter(([cause]) => cause.log !== null);
    return able.sort((one, other) => other[1] - one[1]);
  }

  // The end

  // The scope; null before an outcome and without an engine, undefined where it was not worked out beforehand.
  function scope(session) {
    const stop = outcome(session);
    if (!stop || !data.engines) return null;
    const faults = stop.node.faults.join(" ");
    if (!has(data.outcomes, faults)) return undefined;
    const found = data.outcomes[faults];
    const off = opened(session);
    const held = new Set([...off, ...Object.keys(found.why)]);
    const key = data.order.work.filter((step) => held.has(step)).join(" ");
    const closing = off.join(" ");
    if (!has(data.bodies, key) || !has(data.closing, closing)) return undefined;
    const body = data.bodies[key];
    return {
      ...body,
      steps: body.steps.map((step) => [step, has(found.why, step) ? found.why[step] : ""]),
      noWork: body.steps.length ? "" : found.noWork,
      remarks: [...new Set([...found.remarks, ...body.remarks])],
      closing: data.closing[closing],
    };
  }

  // How often the car would come back: what the scope does not mend.
  function residual(now, made) {
    if (!made || !now.joint) return null;
    const done = new Set(made.steps.map(([step]) => step));
    return now.tree.causes.reduce(
      (sum, cause, at) => (cause.mends && cause.mends.every((step) => done.has(step)) ? sum : sum + now.joint[at]), 0);
  }

  function openedFor(session, step) {
    const names = [...session.known.findings.keys()];
    return names.filter((name) => data.checks[name].behind.includes(step));
  }

  function advice(session) {
    const stop = here(session);
    if (!asked(session)) return "";
    const findings = [...session.known.findings.values()];
    if (findings.some(tooClose)) return "";
    const known = findings.map((one) => `${one.check}=${one.answer}`).sort();
    const key = `${stop.tree}/${stop.name}|${known.join(" ")}`;
    return has(data.advice, key) ? data.advice[key] : undefined;
  }

  // What `diagtree walk --json` says, as far as the page knows it.
  function state(session) {
    const now = belief(session);
    const made = scope(session);
    const end = outcome(session);
    return {
      path: session.stops.map((stop) => stop.name),
      trail: session.stops.map((stop) => ({ tree: stop.tree, node: stop.name })),
      answers: Object.fromEntries([...session.known.findings].map(([name, one]) => [name, one.answer])),
      cannot_tell: [...session.known.unknown].sort(),
      close_call: [...session.known.findings.values()].filter(tooClose).map((one) => one.check),
      outcome: end ? { node: end.name, faults: end.node.faults } : null,
      belief: now.joint ? ranked(now).map(([cause, chance]) => ({ fault: cause.id, probability: chance })) : [],
      conflict: now.joint ? now.conflict : null,
      contradiction: now.joint ? [] : now.contradiction,
      scope: made ? {
        steps: made.steps.map(([step]) => step),
        hours: made.hours,
        parts: made.parts.map((at) => data.parts[at].data),
        parts_cost: made.partsCost,
        buy: made.buy.map((at) => data.buy[at].data),
        buy_cost: made.buyCost,
        offers: made.offers.map((at) => data.offers[at].data),
        close_up: made.closing.data,
      } : null,
      residual: residual(now, made),
    };
  }

  return Object.freeze({
    begin, answer, tell, cannotTell, back, revise, here, asked, outcome, read, tooClose, forbiddenBy, opened, opening,
    standing, due, acknowledge, belief, ranked, scope, residual, openedFor, advice, state,
  });
})(DATA);
