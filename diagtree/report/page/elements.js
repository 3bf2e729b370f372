// Elements of the page. All words come to it as text: `append` and `textContent` make no mark-up.

const Elements = (() => {
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

  function heading(text, address) {
    const at = address ? el("span", { class: "w-at" }, `${address} on the poster`) : null;
    return el("h2", { id: "w-heading", tabindex: "-1" }, text, " ", at);
  }

  function caution(one, ...more) {
    return el("p", { class: `w-caution w-${one.level}` }, el("strong", {}, `${one.word}: `), one.say, ...more);
  }

  return Object.freeze({ el, button, list, section, heading, caution });
})();
