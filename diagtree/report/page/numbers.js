"use strict";
// Numbers: readings as typed, shares of bands, counts of a hundred cars.

const Numbers = (() => {
  const LONGEST = 80;
  const FARTHEST = 1e15;

  // A number as typed, in the check's unit, rightly rounded from the decimal: a reading on a limit stays on it.
  function parse(text, unit) {
    const typed = text.replace(/[\u2212\u2013]/g, "-").replace(/\u00a0/g, " ").trim();
    if (!typed) return { refused: "Nothing was typed." };
    if (typed.length > LONGEST) return { refused: "That is too long for a number." };
    const match = /^([+-]?)\s*(\d[\d.,]*|[.,]\d+)([eE][+-]?\d+)?$/.exec(typed);
    if (!match || !/^\d*(?:[.,]\d*)?$/.test(match[2])) {
      return { refused: `Type one plain number${unit.unit ? `, in ${unit.unit}, without the unit` : ""}.` };
    }
    if (/^[1-9]\d{0,2},\d{3}$/.test(match[2])) {
      return { refused: `${match[1] === "-" ? "-" : ""}${match[2]} can be read in two ways. Type it without a comma.` };
    }
    const value = Number(match[1] + match[2].replace(",", ".") + (match[3] || "")) + 0;
    if (!Number.isFinite(value) || Math.abs(value) > FARTHEST) return { refused: "No gauge shows that. Read it again." };
    const own = converted(value, unit);
    return Math.abs(own) > FARTHEST ? { refused: "No gauge shows that. Read it again." } : { value: own };
  }

  function converted(value, unit) {
    const [scale, offset] = [unit.scale, unit.offset].map((pair) => pair.map(BigInt));
    if (scale[0] === scale[1] && offset[0] === 0n) return value;
    const [number, below] = fraction(value);
    return rounded(number * scale[0] * offset[1] + offset[0] * below * scale[1], below * scale[1] * offset[1]);
  }

  // The decimal that a number prints as, as a fraction.
  function fraction(value) {
    const [, sign, whole, part = "", power = "0"] = /^(-?)(\d+)(?:\.(\d+))?(?:e([+-]?\d+))?$/.exec(String(value));
    const shift = Number(power) - part.length;
    const digits = BigInt(sign + whole + part);
    return shift >= 0 ? [digits * 10n ** BigInt(shift), 1n] : [digits, 10n ** BigInt(-shift)];
  }

  // The double nearest to a fraction: 70 bits of it and whether any are left, rounded once.
  function rounded(above, below) {
    if (above === 0n) return 0;
    const negative = above < 0n;
    const size = negative ? -above : above;
    const shift = 70 - (size.toString(2).length - below.toString(2).length);
    const [left, right] = shift >= 0 ? [size << BigInt(shift), below] : [size, below << BigInt(-shift)];
    const bits = ((left / right) << 1n) | (left % right ? 1n : 0n);
    const value = Number(bits) * 2 ** -(shift + 1);
    return negative ? -value : value;
  }

  // 1 - erf(x) for x >= 0: a series near 0, a continued fraction further out; to about 1e-15.
  function erfc(x) {
    if (x === Infinity) return 0;
    if (x < 2.5) return 1 - erf(x);
    let fractionOf = x;
    for (let n = 80; n > 0; n -= 1) fractionOf = x + n / 2 / fractionOf;
    return Math.exp(-x * x) / (Math.sqrt(Math.PI) * fractionOf);
  }

  function erf(x) {
    if (Math.abs(x) >= 2.5) return x < 0 ? -(1 - erfc(-x)) : 1 - erfc(x);
    let term = x;
    let sum = x;
    for (let n = 1; Math.abs(term) > 1e-18 * Math.abs(sum); n += 1) {
      term *= (2 * x * x) / (2 * n + 1);
      sum += term;
    }
    return ((2 / Math.sqrt(Math.PI)) * sum) * Math.exp(-x * x);
  }

  function between(low, high) {
    let share;
    if (low >= 0) share = erfc(low) - erfc(high);
    else if (high <= 0) share = erfc(-high) - erfc(-low);
    else share = erf(high) - erf(low);
    return Math.min(1, Math.max(0, share / 2));
  }

  function holds(band, value) {
    return (band[0] === null || value >= band[0]) && (band[1] === null || value < band[1]);
  }

  // How much a reading weighs for each band (JCGM 106:2012): N(value, (U/2)^2) over it.
  function shares(value, uncertainty, bands) {
    if (!(uncertainty > 0)) return bands.map((band) => (holds(band, value) ? 1 : 0));
    const edge = (limit) => (2 * ((limit - value) / uncertainty)) / Math.SQRT2;
    return bands.map((band) =>
      between(band[0] === null ? -Infinity : edge(band[0]), band[1] === null ? Infinity : edge(band[1])));
  }

  // The mean of readings, summed exactly enough for a handful of them.
  function mean(values) {
    if (values.length === 1) return values[0];
    let [above, below] = [0n, 1n];
    for (const value of values) {
      const [number, under] = binary(value);
      [above, below] = [above * under + number * below, below * under];
    }
    return rounded(above, below * BigInt(values.length));
  }

  // A double as the fraction that it is.
  function binary(value) {
    let power = 0;
    while (!Number.isInteger(value)) {
      value *= 2;
      power += 1;
    }
    return [BigInt(value), 2n ** BigInt(power)];
  }

  function inHundred(chance) {
    const percent = 100 * chance;
    if (percent < 5 - 1e-9) return "fewer than 5 in 100";
    if (percent > 95 + 1e-9) return "more than 95 in 100";
    return `about ${Math.floor(percent / 5 + 0.5 + 1e-9) * 5} in 100`;
  }

  return Object.freeze({ parse, shares, holds, mean, inHundred });
})();
