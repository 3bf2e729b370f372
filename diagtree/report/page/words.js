// What a walk's replies came to, in words.

const Words = ((data) => {
  const check = (name) => data.checks[name];
  const answerText = (name, id) => check(name).answers.find((one) => one.id === id).text;

  // What the last reply came to.
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
        `'${answerText(name, finding.answer)}' is not sure. ${check(name).clear} Take it again by 'Change' in the way so far; it ${kept}.`);
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

  function said(of, name) {
    const finding = of.known.findings.get(name);
    if (!finding) return `${check(name).ask} cannot tell.`;
    const what = finding.values ? ` (${reading(name, finding)})` : finding.codes && finding.codes.length ? ` (${finding.codes.join("+")})` : "";
    return `${check(name).ask} ${answerText(name, finding.answer)}${what}.`;
  }

  return Object.freeze({ told, whyNot, said });
})(DATA);
