"use strict";
// A live plan of one floor: what has a place so far, north up. Only numbers become shapes, and names stay text.

const SVG = "http://www.w3.org/2000/svg";
const list = (value) => (Array.isArray(value) ? value : []);
const partsOf = (value) => list(value).filter((one) => one instanceof Map);
const mapOf = (value) => (value instanceof Map ? value : new Map());

// Joists of a row with their places in inches: [{name, at, data}], exceptions laid over what they have in common.
function joistsOf(group, units) {
  const each = mapOf(group.get("each")),
    but = mapOf(group.get("but")),
    name = group.get("name") || "";
  const own = new Map([...group].filter(([key]) => ["from", "to"].includes(key)));
  const found = placesOf(group.get("at"), units).map((at, k) => ({ name: name + (k + 1), at }));
  for (const [also, data] of mapOf(group.get("also"))) found.push({ name: also, at: NaN, extra: mapOf(data) });
  return found.map((one) => {
    const exception = mapOf(but.get(one.name) || one.extra);
    const data = new Map([...own, ...each, ...exception]);
    const at = inches(exception.get("at"), units);
    return { name: one.name, at: Number.isNaN(at) ? one.at : at, data, excepted: exception.size > 0 };
  });
}

function shapesOf(area, units) {
  const shapes = [],
    num = (map, key) => inches(map.get(key), units);
  const pair = (value) => (list(value).length === 2 ? value.map((one) => inches(one, units)) : [NaN, NaN]);
  const corners = list(area.get("corners")).map(pair),
    [wide, deep] = extentInches(area.get("outline"), units);
  const room =
    corners.length > 2
      ? corners
      : [
          [0, 0],
          [wide, 0],
          [wide, deep],
          [0, deep],
        ];
  const reach = (k) =>
    room.every((p) => !Number.isNaN(p[k]))
      ? [Math.min(...room.map((p) => p[k])), Math.max(...room.map((p) => p[k]))]
      : [NaN, NaN];
  const groups = partsOf(area.get("joists")).map((group) => joistsOf(group, units));
  const places = groups
    .flat()
    .map((one) => one.at)
    .filter((at) => !Number.isNaN(at));
  const across = Number.isNaN(reach(0)[0]) ? [Math.min(...places), Math.max(...places)] : reach(0),
    along = reach(1);
  const lines = new Map(),
    depth = (map) => extentInches(map.get("size"), "in")[0];

  for (const support of partsOf(area.get("supports"))) {
    const near = num(support, "at"),
      width = num(support, "width") || depth(support);
    const part = pair(support.get("across")),
      reaches = Number.isNaN(part[0]) ? across : part;
    const far = near + (Number.isNaN(width) ? 0 : width);
    lines.set(support.get("id"), [near, far]);
    shapes.push({ kind: "support", name: support.get("id"), across: reaches, along: [near, far] });
  }
  for (const pier of [...partsOf(area.get("piers")), ...partsOf(area.get("posts"))]) {
    const at = num(pier, "at"),
      under = lines.get(pier.get("under")),
      half = (num(pier, "width") || 8) / 2 || 4;
    const middle = under ? (under[0] + under[1]) / 2 : num(pier, "along");
    shapes.push({
      kind: "pier",
      name: pier.get("id"),
      across: [at - half, at + half],
      along: [middle - half, middle + half],
    });
  }
  for (const opening of partsOf(area.get("openings"))) {
    shapes.push({
      kind: "opening",
      name: opening.get("id"),
      across: pair(opening.get("across")),
      along: pair(opening.get("along")),
    });
  }
  groups.forEach((group, index) =>
    group.forEach((one) => {
      const near = lines.get(one.data.get("from")),
        far = lines.get(one.data.get("to"));
      let ends = [near ? near[0] : along[0], far ? far[1] : along[1]];
      const begins = num(one.data, "begins"),
        stops = num(one.data, "ends");
      ends = [Number.isNaN(begins) ? ends[0] : begins, Number.isNaN(stops) ? ends[1] : stops];
      const kind = one.data.get("missing") ? "missing" : one.excepted ? "joist marked" : "joist";
      shapes.push({ kind, name: one.name, across: [one.at, one.at], along: ends, group: index });
    }),
  );
  for (const fixture of partsOf(area.get("fixtures"))) {
    const [x, y] = pair(fixture.get("at")),
      size = extentInches(fixture.get("extent"), units).map((one) => one / 2 || 4);
    shapes.push({
      kind: "fixture",
      name: fixture.get("id"),
      across: [x - size[0], x + size[0]],
      along: [y - size[1], y + size[1]],
    });
  }
  for (const drain of partsOf(area.get("drains"))) {
    shapes.push({ kind: "drain", name: drain.get("id"), points: list(drain.get("route")).map(pair) });
  }
  shapes.push({ kind: "room", name: "", points: room });
  const placed = (one) =>
    one.points
      ? one.points.length > 1 && one.points.flat().every(Number.isFinite)
      : [...one.across, ...one.along].every(Number.isFinite);
  return shapes.filter(placed);
}

// Draws into the svg element and says in words what it shows. `tapped` hears of a joist that is pressed.
function drawSketch(svg, area, units, tapped) {
  svg.replaceChildren();
  const shapes = shapesOf(area, units),
    turned = area.get("joists_run") === "east-west";
  if (!shapes.length)
    return "Nothing has a place yet: give the room's outline, the supports and the places of the joists.";
  const all = shapes.flatMap(
    (one) =>
      one.points || [
        [one.across[0], one.along[0]],
        [one.across[1], one.along[1]],
      ],
  );
  const point = (across, along) => (turned ? [along, -across] : [across, -along]);
  const seen = all.map(([x, y]) => point(x, y));
  const low = [0, 1].map((k) => Math.min(...seen.map((p) => p[k]))),
    high = [0, 1].map((k) => Math.max(...seen.map((p) => p[k])));
  const size = Math.max(high[0] - low[0], high[1] - low[1], 1),
    room = size * 0.08,
    unit = size / 100;
  svg.setAttribute(
    "viewBox",
    [low[0] - room, low[1] - room, high[0] - low[0] + 2 * room, high[1] - low[1] + 2 * room]
      .map((n) => n.toFixed(2))
      .join(" "),
  );

  const add = (parent, tag, attributes, text) => {
    const element = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes))
      element.setAttribute(name, typeof value === "number" ? value.toFixed(2) : value);
    if (text !== undefined) element.textContent = text;
    parent.append(element);
    return element;
  };
  const write = (group, x, y, text, anchor) =>
    add(group, "text", { x, y, "font-size": unit * 3.6, "text-anchor": anchor || "middle" }, String(text).slice(0, 24));

  for (const one of shapes) {
    const group = add(svg, "g", { class: one.kind });
    if (one.points) {
      add(group, one.kind === "room" ? "polygon" : "polyline", {
        points: one.points
          .map((p) =>
            point(...p)
              .map((n) => n.toFixed(2))
              .join(","),
          )
          .join(" "),
      });
      if (one.name)
        write(group, point(...one.points[0])[0] + unit * 2, point(...one.points[0])[1] - unit * 2, one.name, "start");
      continue;
    }
    const [x1, y1] = point(one.across[0], one.along[0]),
      [x2, y2] = point(one.across[1], one.along[1]);
    if (one.group === undefined) {
      add(group, "rect", {
        x: Math.min(x1, x2),
        y: Math.min(y1, y2),
        width: Math.max(Math.abs(x2 - x1), unit / 2),
        height: Math.max(Math.abs(y2 - y1), unit / 2),
      });
      const inside = one.kind !== "support";
      const below = Math.max(y1, y2) + unit * 4,
        middle = (y1 + y2) / 2 + unit * 1.2;
      write(
        group,
        inside || turned ? (x1 + x2) / 2 : Math.max(x1, x2) + unit * 4,
        one.kind === "pier" || (!inside && turned)
          ? below
          : one.kind === "fixture"
            ? Math.max(y1, y2) - unit * 1.5
            : middle,
        one.name,
      );
      continue;
    }
    add(group, "line", { x1, y1, x2, y2 });
    const finger = add(group, "line", { x1, y1, x2, y2, class: "finger", "stroke-width": unit * 7 });
    finger.addEventListener("click", () => tapped(one.group, one.name));
    write(group, turned ? x2 + unit * 4 : x2, turned ? y2 + unit * 1.2 : y2 - unit, one.name);
  }
  const count = (kind) => shapes.filter((one) => one.kind.startsWith(kind)).length;
  const words = [
    ["support", "supports"],
    ["joist", "joists"],
    ["missing", "missing joists"],
    ["opening", "openings"],
    ["fixture", "fixtures"],
    ["drain", "drains"],
    ["pier", "posts and piers"],
  ];
  return (
    "North is up. Shown: " +
    (words
      .filter(([kind]) => count(kind))
      .map(([kind, many]) => `${many} ${count(kind)}`)
      .join(", ") || "the room") +
    "."
  );
}
