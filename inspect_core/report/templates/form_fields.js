"use strict";
// Editors for single fields, each kind one function: lines to type on, choices, pairs, places of joists.

// A line to type on. `bare` leaves out help and "don't know", for the rows of a list and the ends of a pair.
function typedEditor(field, slot, { bare = false, label = field.label } = {}) {
  const id = `f${++serial}`,
    shown = slot.get();
  const input = make(field.longest >= 400 ? "textarea" : "input", {
    id,
    autocomplete: "off",
    autocapitalize: "off",
    spellcheck: "false",
  });
  if (field.longest) input.maxLength = field.longest;
  const help = bare ? null : helpFor(field, id + "s"),
    wrong = make("p", { class: "wrong", id: id + "w" });
  input.setAttribute("aria-describedby", [help ? id + "s" : "", id + "w"].join(" ").trim());
  const isUnknown = () => slot.get() === "unknown" && !field.name;
  input.value = shown === undefined || shown === null || isUnknown() ? "" : String(shown);
  const dontKnow =
    field.name || (bare && !slot.unknown)
      ? null
      : button(
          "don't know",
          () => {
            slot.set(isUnknown() ? undefined : "unknown");
            input.value = "";
            check();
            look();
          },
          { class: "dont-know" },
        );
  if (dontKnow) dontKnow.append(make("span", { class: "quiet" }, `: ${label}`));
  const look = () => {
    if (dontKnow) pressed(dontKnow, isUnknown());
    input.placeholder = isUnknown() ? "not known" : "";
  };
  const check = () => {
    const value = slot.get(),
      fine = value === undefined || looksRight(field.kind, value, unitsNow());
    wrong.textContent = fine
      ? ""
      : field.kind === "extent"
        ? "Two lengths with an x between, such as 9' 4\" x 7' 10\"."
        : field.kind === "length"
          ? "This does not look like a length. As on a tape: 15 7/8, 8' 2-1/2\", 400 mm; a guess ~16; a range 15 1/2 .. 16 1/4."
          : "This does not look right; see the example.";
    input.setAttribute("aria-invalid", String(!fine));
  };
  input.addEventListener("input", () => {
    const value = typedValue(field, input.value);
    if (value !== undefined || !field.name) slot.set(value);
    if (wrong.textContent) check();
    look();
  });
  input.addEventListener("change", () => {
    if (field.name && !input.value.trim()) input.value = String(slot.get());
    check();
  });
  if (["length", "extent"].includes(field.kind)) input.addEventListener("focus", () => tapeKeys(input, field.kind));
  if (field.names) {
    const choices = make("datalist", { id: id + "l" });
    input.setAttribute("list", id + "l");
    input.addEventListener("focus", () =>
      choices.replaceChildren(...known(field.names, slot).map((value) => make("option", { value }))),
    );
    input.choices = choices;
  }
  look();
  check();
  return make(
    "div",
    { class: "field", "data-at": slot.path, "data-kind": field.kind },
    make("label", { for: id }, label),
    help,
    make("div", { class: "line" }, input, dontKnow, slot.extra || null),
    wrong,
    input.choices || null,
    bare ? null : howFor(field),
  );
}

// The signs of a tape, large, under the line that is being written on; a keyboard and a screen reader have them anyway.
const keys = make("div", { class: "keys", "aria-hidden": "true" });
function tapeKeys(input, kind) {
  const signs =
    unitsNow() === "mm" ? [" mm", " m", "~", " .. "] : ["'", '"', " 1/2", " 1/4", " 3/4", " 1/8", "~", " .. "];
  if (kind === "extent") signs.push(" x ");
  keys.replaceChildren(
    ...signs.map((sign) =>
      button(
        sign.trim(),
        () => {
          const glued = input.selectionStart === 0 ? sign.trim() : sign;
          input.setRangeText(glued, input.selectionStart, input.selectionEnd, "end");
          input.dispatchEvent(new Event("input"));
          input.focus();
        },
        {
          tabIndex: -1,
          onpointerdown: (event) => event.preventDefault(),
          onmousedown: (event) => event.preventDefault(),
        },
      ),
    ),
  );
  if (input.parentElement.nextSibling !== keys) input.parentElement.after(keys);
}

function choiceEditor(field, slot, part, { bare = false, label = field.label } = {}) {
  const choices = field.kind === "yesno" ? [true, false, "unknown"] : field.words,
    id = `f${++serial}`;
  const says = (word) =>
    word === true
      ? "yes"
      : word === false
        ? "no"
        : word === "unknown"
          ? "don't know"
          : String(word).replaceAll("-", " ");
  const must = part.required.includes(field.key),
    help = bare ? null : helpFor({ ...field, example: null }, id + "s");
  if (choices.length > 4) {
    const select = make(
      "select",
      { id },
      must ? null : make("option", { value: "" }, "not looked at yet"),
      ...choices.map((word) => make("option", { value: String(word) }, says(word))),
    );
    select.value = slot.get() === undefined ? "" : String(slot.get());
    if (help) select.setAttribute("aria-describedby", id + "s");
    select.addEventListener("change", () => slot.set(select.value === "" ? undefined : select.value));
    return make(
      "div",
      { class: "field", "data-at": slot.path, "data-kind": "choice" },
      make("label", { for: id }, label),
      help,
      make("div", { class: "line" }, select, slot.extra || null),
      howFor(field),
    );
  }
  const buttons = choices.map((word) =>
    button(
      says(word),
      () => {
        slot.set(slot.get() === word && !must ? undefined : word);
        look();
      },
      { "data-word": String(word) },
    ),
  );
  const look = () => buttons.forEach((one, k) => pressed(one, slot.get() === choices[k]));
  look();
  return make(
    "fieldset",
    { class: "field", "data-at": slot.path, "data-kind": "choice" },
    make("legend", {}, label),
    help,
    make("div", { class: "choices" }, ...buttons, slot.extra || null),
    howFor(field),
  );
}

function pairEditor(field, slot, { bare = false, label = field.label } = {}) {
  const text = field.item.kind === "text",
    typed = list(slot.get()).map((one) => (one === null ? undefined : one));
  const help = bare ? null : helpFor({ ...field, example: null });
  const ends = field.ends.map((name, k) => ({
    path: `${slot.path}/${k}`,
    holder: slot,
    unknown: !text,
    get: () => typed[k],
    set(value) {
      typed[k] = value;
      const all = [0, 1].map((one) => typed[one] ?? (text ? undefined : "unknown"));
      slot.set(typed.every((one) => one === undefined) || all.includes(undefined) ? undefined : all);
    },
  }));
  return make(
    "fieldset",
    { class: "field pair", "data-at": slot.path, "data-kind": "pair" },
    make("legend", {}, label),
    help,
    make(
      "div",
      { class: "ends" },
      ...ends.map((end, k) =>
        typedEditor({ ...field.item, names: field.names || field.item.names }, end, {
          bare: true,
          label: field.ends[k],
        }),
      ),
    ),
    slot.extra || null,
    bare ? null : howFor(field),
  );
}

function placesEditor(field, slot) {
  const box = make("div"),
    modes = make("div", { class: "choices" });
  const fieldset = make(
    "fieldset",
    { class: "field", "data-at": slot.path, "data-kind": "places" },
    make("legend", {}, field.label),
    helpFor(field),
    modes,
    box,
    howFor(field),
  );
  const regular = () =>
    typeof slot.get() === "string" && slot.get() !== "unknown" ? PATTERN.exec(plainSigns(slot.get())) : null;
  let mode = Array.isArray(slot.get()) ? "list" : slot.get() === "unknown" ? "unknown" : "pattern";
  const named = { pattern: "evenly spaced", list: "each read off the tape", unknown: "don't know" };
  const buttons = Object.entries(named).map(([name, text]) =>
    button(
      text,
      () => {
        mode = name;
        if (name === "unknown") slot.set("unknown");
        else if (name === "list" && !Array.isArray(slot.get())) slot.set([]);
        else if ((name === "pattern" && typeof slot.get() !== "string") || slot.get() === "unknown")
          slot.set(undefined);
        show();
      },
      { "data-word": name },
    ),
  );
  modes.append(...buttons);
  function show() {
    Object.keys(named).forEach((name, k) => pressed(buttons[k], name === mode));
    box.replaceChildren();
    if (mode === "list")
      box.append(
        listEditor(
          {
            kind: "list",
            key: field.key,
            label: "places",
            item: { ...field.item, label: "" },
            least: 0,
            counted: true,
          },
          slot,
        ),
      );
    if (mode === "pattern") {
      const found = regular(),
        given = found ? [found[1] + found[2], found[3], found[5]] : [undefined, undefined, undefined];
      const word = found ? found[4] : "to";
      const labels = ["every", "from", word === "to" ? "up to" : "how many"];
      box.append(
        make(
          "div",
          { class: "ends three" },
          ...labels.map((label, k) =>
            typedEditor(
              { ...field.item, kind: k === 2 && word === "for" ? "number" : "length", longest: 24 },
              {
                path: `${slot.path}/${k}`,
                holder: slot,
                get: () => given[k],
                set(value) {
                  given[k] = value;
                  slot.set(
                    given.includes(undefined) ? undefined : `every ${given[0]} from ${given[1]} ${word} ${given[2]}`,
                  );
                },
              },
              { bare: true, label },
            ),
          ),
        ),
      );
    }
  }
  show();
  return fieldset;
}
