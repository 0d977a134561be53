"use strict";
// A slot is a place in the data: it gets and sets its value, knows its path, and makes what holds it when something is first
// written. And names: those that the page makes up, and those that the file has.

function slotIn(holder, part, field) {
  return {
    path: holder.path === "" ? field.key : `${holder.path}/${field.key}`,
    holder,
    get: () => mapOf(holder.get()).get(field.key),
    set(value) {
      let map = holder.get();
      if (value === undefined) {
        if (!(map instanceof Map)) return;
        map.delete(field.key);
        if (!map.size && holder.optional) holder.set(undefined);
      } else {
        if (!(map instanceof Map)) holder.set((map = blank(holder.part)));
        putInOrder(map, part, field.key, value);
      }
      changed();
    },
  };
}

// A new key goes where the form has it, so that files read alike.
function putInOrder(map, part, key, value) {
  if (!map.has(key)) {
    const place = (name) => part.fields.findIndex((field) => field.key === name);
    const later = [...map].filter(([name]) => place(name) > place(key));
    for (const [name] of later) map.delete(name);
    map.set(key, value);
    for (const [name, one] of later) map.set(name, one);
  }
  map.set(key, value);
}

// What has to be there from the start: names are made up, the rest is unknown.
function blank(name) {
  const part = form.parts[name],
    map = new Map();
  for (const field of part.fields) {
    if (part.required.includes(field.key)) map.set(field.key, blankValue(name, field));
  }
  return map;
}

function blankValue(part, field) {
  if (field.kind === "fixed") return field.value;
  if (field.kind === "part") return blank(field.part);
  if (field.kind === "list") return [blank(field.item.part)];
  if (field.kind === "pair") return ["unknown", "unknown"];
  if (field.kind === "choice") return field.words.includes("unknown") ? "unknown" : form.units;
  return field.name ? madeUp(part) : "unknown";
}

function namesTaken(value = site, taken = new Set()) {
  if (value instanceof Map) {
    for (const [key, one] of value) {
      if (typeof one === "string" && /^(id|name|wall)$/.test(key)) taken.add(one);
      namesTaken(one, taken);
    }
  } else if (Array.isArray(value)) value.forEach((one) => namesTaken(one, taken));
  return taken;
}

function madeUp(name) {
  const part = form.parts[name],
    taken = namesTaken();
  const free = (part.made_up || []).find((one) => !taken.has(one));
  if (free) return free;
  if (!part.prefix) return [...(part.made_up || []), part.one][0];
  for (let n = 1; ; n++) if (!taken.has(part.prefix + n)) return part.prefix + n;
}

// Names of things of these kinds that the file has so far.
function known(kinds, slot) {
  const found = new Set();
  const walk = (name, value) => {
    if (!(value instanceof Map)) return;
    if (kinds.includes(name) && typeof value.get("id") === "string") found.add(value.get("id"));
    if (name === "joist_group" && kinds.includes("joist"))
      for (const one of joistsOf(value, unitsNow())) found.add(one.name);
    for (const field of form.parts[name].fields) {
      const inner = field.kind === "part" ? field : field.item,
        one = value.get(field.key);
      if (inner && inner.kind === "part")
        (field.kind === "part" ? [one] : field.kind === "list" ? list(one) : [...mapOf(one).values()]).forEach((each) =>
          walk(inner.part, each),
        );
    }
  };
  let root = slot; // the row of joists, the floor or the file that this stands in
  const within = kinds.includes("joist") && slot.holder.part === "joist_group" ? ["joist_group"] : ["area", ""];
  while (root.holder && !within.includes(root.part)) root = root.holder;
  walk(root.part, root.get());
  if (root.part !== "" && kinds.some((kind) => ["evidence", "area", "document"].includes(kind))) walk("", site);
  return [...found];
}
