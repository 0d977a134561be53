"use strict";
// What editors are made of: elements, folds, help, texts that follow the data. Names from files only ever become text.

let serial = 0;

function make(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name in element && typeof value !== "string") element[name] = value;
    else element.setAttribute(name, value);
  }
  element.append(...children.filter((one) => one !== null && one !== undefined));
  return element;
}

const button = (text, press, properties = {}) =>
  make("button", { type: "button", onclick: press, ...properties }, text);

function helpFor(field, id) {
  const examples = field.example ?? (field.of ? form.examples[field.of] : null);
  const example = examples ? examples[unitsNow()] : null;
  const unit = field.unit ? field.unit[unitsNow()] : "";
  const words = [field.says, unit ? `Without a unit: ${unit}.` : "", example ? `For example ${example}` : ""]
    .filter(Boolean)
    .join(" ");
  return words ? make("p", { class: "soft", id }, words) : null;
}

function howFor(field) {
  if (!field.how) return null;
  return make(
    "details",
    { class: "how" },
    make("summary", {}, "How to find out", make("span", { class: "quiet" }, `: ${field.label}`)),
    make("p", {}, field.how),
    field.tool ? make("p", { class: "soft" }, `With: ${field.tool}`) : null,
  );
}

function pressed(element, is) {
  element.setAttribute("aria-pressed", String(is));
}

// A fold whose inside is made when it is first opened.
function fold(properties, summary, build) {
  const details = make("details", properties, make("summary", {}, summary));
  details.build = () => {
    if (!details.made) details.append(...[build()].flat());
    details.made = true;
  };
  details.addEventListener("toggle", () => {
    if (details.open) details.build();
  });
  return details;
}

function openFold(details) {
  if (details.build) details.build();
  details.open = true;
}

// Texts that follow the data while somebody types.
const followers = new Set();
function follows(element, text) {
  const update = () => {
    const now = text();
    if (element.textContent !== now) element.textContent = now;
  };
  update();
  followers.add({ element, update });
  return element;
}

// `later`: not with each letter, but when somebody pauses.
function followUp(later) {
  for (const one of followers) {
    if (!one.element.isConnected) followers.delete(one);
    else if (Boolean(one.later) === later) one.update();
  }
}

// Without the characters that no site file may hold, halves of a character among them.
function tidy(text) {
  return text.replace(/[\u0000-\u0008\u000B-\u001F\u007F-\u009F\u2028\u2029\uFEFF\uFFFE\uFFFF\uD800-\uDFFF]/gu, "");
}

// What is typed, as it goes into the file: a number alone stays one, except where text is asked for.
function typedValue(field, text) {
  const clean = field.kind === "text" ? tidy(text) : plainSigns(tidy(text));
  if (clean.trim() === "") return undefined;
  return field.kind !== "text" &&
    /^-?(0|[1-9]\d{0,11})(\.\d{1,6})?$/.test(clean) &&
    !["extent", "size"].includes(field.kind)
    ? Number(clean)
    : clean;
}
