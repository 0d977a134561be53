"use strict";
// Editors for what holds others: lists, mappings, parts with their sections, the whole file.

// A list or a mapping: its entries, a way to add one, and a way to say that there is none.
function listEditor(field, slot) {
  const isMap = field.kind === "map",
    item = field.item,
    ofParts = item.kind === "part";
  const one = ofParts ? form.parts[item.part].one : field.label;
  const empty = () =>
    ofParts ? blank(item.part) : item.kind === "pair" ? ["unknown", "unknown"] : item.kind === "text" ? "" : "unknown";
  const entries = () => (isMap ? [...mapOf(slot.get()).keys()] : [...list(slot.get()).keys()]);
  const title = make("p", { class: "title", id: `f${++serial}` }, field.label),
    state = make("p", { class: "soft" });
  const rows = make("ul", { class: "items" }),
    tools = make("div", { class: "choices" });
  const none = button("looked: none there", () => {
    slot.set(slot.get() === undefined ? (isMap ? new Map() : []) : undefined);
    tell();
  });
  const box = make(
    "div",
    {
      class: "list",
      role: "group",
      ...(field.counted ? { "aria-label": "places, one by one" } : { "aria-labelledby": title.id }),
      "data-at": slot.path,
      "data-kind": field.kind,
    },
    field.counted ? null : title,
    field.counted ? null : helpFor({ ...field, example: null }),
    howFor(field),
    state,
    rows,
    tools,
  );

  function tell() {
    const count = entries().length;
    state.textContent = count ? "" : slot.get() === undefined ? "Not looked at yet." : "Looked: none there.";
    none.hidden = count > 0 || field.counted || field.least > 0;
    pressed(none, slot.get() !== undefined && !count);
  }

  function slotOf(key) {
    const own = {
      path: `${slot.path}/${key}`,
      holder: slot,
      part: item.part,
      optional: false,
      get: () => (isMap ? mapOf(slot.get()).get(key) : list(slot.get())[key]),
      set(value) {
        const all = slot.get();
        if (isMap) all.set(key, value ?? empty());
        else all[key] = value ?? empty();
        changed();
      },
      unknown: item.kind !== "text",
    };
    return own;
  }

  function remove(key) {
    const before = writeYaml(site),
      name = ofParts ? itemName(item.part, slotOf(key), key) : `${field.label} ${isMap ? key : key + 1}`;
    if (isMap) slot.get().delete(key);
    else slot.get().splice(key, 1);
    if (!entries().length) slot.set(undefined);
    else changed();
    show();
    (tools.querySelector("button, input") || title).focus();
    say(`${name} removed.`, before);
  }

  function row(key) {
    const own = slotOf(key),
      name = isMap ? key : String(key + 1);
    const away = button("remove", () => remove(key), { class: "away" });
    away.append(make("span", { class: "quiet" }, ` ${ofParts ? "" : field.label} ${name}`));
    away.hidden = entries().length <= field.least;
    if (!ofParts) {
      own.extra = away;
      const label =
        item.kind === "pair"
          ? `${name}`
          : isMap
            ? name
            : field.counted
              ? `${mapOf(slot.holder.get()).get("name") || ""}${name}`
              : `${name}`;
      const hinted = { ...item, names: field.names && !isMap ? field.names : item.names };
      return make(
        "li",
        {},
        item.kind === "pair"
          ? pairEditor(item, own, { bare: true, label })
          : item.kind === "choice"
            ? choiceEditor(item, own, { required: [item.key] }, { bare: true, label })
            : typedEditor({ ...hinted, longest: Math.min(item.longest || 60, 300) }, own, { bare: true, label }),
      );
    }
    const summary = follows(make("span"), () => itemName(item.part, own, key));
    return make(
      "li",
      {},
      fold({ class: "item", "data-at": own.path, "data-kind": "part" }, summary, () => {
        const up =
          !isMap && field.ordered && key > 0
            ? button("move up", () => {
                const all = slot.get();
                all.splice(key - 1, 2, all[key], all[key - 1]);
                changed();
                show();
                openFold(rows.children[key - 1].firstChild);
                rows.children[key - 1].querySelector("summary").focus();
                say("Moved up.");
              })
            : null;
        return [partEditor(item.part, own, field.first), make("div", { class: "choices" }, up, away)];
      }),
    );
  }

  function opened() {
    const last = rows.lastElementChild,
      details = last.querySelector("details.item");
    if (details) openFold(details);
    const first = last.querySelector("input, select, textarea, button:not(.away)");
    if (first) first.focus();
  }

  function add(key) {
    const made = empty();
    if (isMap) {
      if (mapOf(slot.get()).has(key)) {
        say(`${key} is in the list already.`);
        return;
      }
      slot.set(new Map([...mapOf(slot.get()), [key, made]]));
    } else slot.set([...list(slot.get()), made]);
    show();
    opened();
    say(`${ofParts ? itemName(item.part, slotOf(isMap ? key : list(slot.get()).length - 1), key) : one} added.`);
  }
  box.addEntry = (key) => {
    if (!mapOf(slot.get()).has(key)) add(key);
  };

  function show() {
    rows.replaceChildren(...entries().map(row));
    tools.replaceChildren();
    if (isMap) {
      const id = `f${++serial}`,
        name = make("input", { id, maxLength: 60, autocomplete: "off", autocapitalize: "off", spellcheck: "false" });
      const addNamed = () => {
        const key = tidy(name.value).trim();
        if (key) add(key);
        else name.focus();
      };
      name.addEventListener("keydown", (event) => {
        if (event.key === "Enter") addNamed();
      });
      const offered = make("div", { class: "choices" });
      let free = [];
      const offer = () => {
        const now = known(field.names || [], slot)
          .filter((one) => !mapOf(slot.get()).has(one))
          .slice(0, 60);
        if (now.join("\n") !== free.join("\n"))
          offered.replaceChildren(...now.map((key) => button(`+ ${key}`, () => add(key), { "data-name": key })));
        free = now;
      };
      offer();
      followers.add({ element: offered, update: offer, later: true });
      tools.append(
        offered,
        make(
          "div",
          { class: "field other" },
          make("label", { for: id }, `name for ${field.label}`),
          make("div", { class: "line" }, name, button("add", addNamed, { class: "add-named" })),
        ),
      );
    } else
      tools.append(
        ofParts
          ? button(`Add ${/^[aeiou]/.test(one) ? "an" : "a"} ${one}`, () => add(), { class: "add" })
          : button("Add one", () => add(), { class: "add", "aria-label": `Add one: ${one}` }),
      );
    tools.append(none);
    tell();
  }
  show();
  if (ofParts && field.least && entries().length === 1) openFold(rows.querySelector("details.item"));
  return box;
}

// What an entry is called: its own name and the first things that are known of it.
function itemName(name, slot, key) {
  const part = form.parts[name];
  const data = mapOf(slot.get());
  const own = part.fields.find((field) => field.name && data.has(field.key));
  const told = part.fields.filter((field) => field !== own && data.has(field.key)).map((field) => inShort(field, data));
  const title = own ? data.get(own.key) : typeof key === "number" ? `${part.one} ${key + 1}` : key;
  const known = told.filter(Boolean).slice(0, 3).join(", ");
  return `${title}${known ? `: ${known}` : ""}`.slice(0, 120);
}

function inShort(field, data) {
  const value = data.get(field.key);
  if (typeof value === "boolean") return "";
  if (value instanceof Map) return value.size ? field.label : "";
  if (Array.isArray(value)) return value.length && field.item?.kind === "part" ? `${field.label}: ${value.length}` : "";
  return field.kind === "choice" ? String(value).replaceAll("-", " ") : `${field.key.replaceAll("_", " ")} ${value}`;
}

function innerPart(field, slot) {
  slot.part = field.part;
  slot.optional = !form.parts[field.part].required.length;
  const leave = button(
    "leave out: not looked at",
    () => {
      const before = writeYaml(site);
      slot.set(undefined);
      const anew = innerPart(field, slot);
      details.replaceWith(anew);
      anew.querySelector("summary").focus();
      say(`${field.label} left out.`, before);
    },
    { class: "away" },
  );
  const state = follows(make("span", { class: "soft" }), () =>
    slot.get() === undefined
      ? "not looked at yet"
      : itemName(field.part, slot, "").replace(/^: /, "") || "something written",
  );
  const details = fold(
    { class: "item", "data-at": slot.path, "data-kind": "part" },
    make("span", {}, make("b", {}, field.label), " ", state),
    () => [
      helpFor({ ...field, example: null }) || "",
      howFor(field) || "",
      partEditor(field.part, slot, field.first),
      slot.must ? "" : make("div", { class: "choices" }, leave),
    ],
  );
  return details;
}

function fieldEditor(part, field, holder) {
  const slot = slotIn(holder, part, field);
  slot.must = part.required.includes(field.key);
  if (field.kind === "fixed") return "";
  if (field.kind === "part") return innerPart(field, slot);
  if (field.kind === "list" || field.kind === "map") return listEditor(field, slot);
  if (field.kind === "places") return placesEditor(field, slot);
  if (field.kind === "pair") return pairEditor(field, slot);
  if (field.kind === "choice" || field.kind === "yesno") return choiceEditor(field, slot, part);
  return typedEditor(field, slot);
}

// `asked` are the fields that this place asks for first, where that is not what the part itself says.
function partEditor(name, slot, asked) {
  const part = form.parts[name],
    box = make("div", { class: "part" });
  slot.part = name;
  const editors = (places) => places.map((place) => fieldEditor(part, part.fields[place], slot));
  for (const section of part.sections) {
    const has = (place) => mapOf(slot.get()).has(part.fields[place].key),
      now = asked || section.first;
    const others = [...section.first, ...section.more].filter((place) => !now.includes(place));
    const first = [...now, ...others.filter(has)],
      more = others.filter((place) => !has(place));
    const inside = () => [
      ...editors(first),
      ...(more.length ? [fold({ class: "more" }, `More (${more.length})`, () => editors(more))] : []),
    ];
    if (!section.title) box.append(...inside());
    else {
      const state = follows(make("span", { class: "soft" }), () => sectionState(part, section, slot));
      const shown = fold(
        { class: "section" },
        make("span", {}, make(name === "" ? "h2" : "h3", {}, section.title), " ", state),
        inside,
      );
      box.append(shown);
      if (section.open) openFold(shown);
    }
  }
  return box;
}

function sectionState(part, section, slot) {
  const data = mapOf(slot.get()),
    told = [];
  let answered = 0;
  for (const place of section.first) {
    const field = part.fields[place],
      value = data.get(field.key);
    if (Array.isArray(value) && field.item && field.item.kind === "part")
      told.push(`${field.label}: ${value.length || "none"}`);
    else if (value !== undefined && field.kind !== "fixed") answered++;
  }
  return [answered ? `${answered} answered` : "", ...told].filter(Boolean).join(", ") || "not looked at yet";
}
