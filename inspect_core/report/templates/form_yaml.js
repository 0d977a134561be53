"use strict";
// Site files as text: the part of YAML that they use, with mappings as Maps and lists as arrays.
// What can't be read is told with its line; nothing is guessed.

const HEADER = "# Written by the survey form of inspect-core.";

class Unreadable extends Error {
  constructor(line, why) {
    super(`line ${line}: ${why}`);
  }
}

function readYaml(source) {
  const text = source.replace(/^\uFEFF/, "").replace(/\r\n?/g, "\n");
  const deepest = 50;
  let place = 0,
    depth = 0,
    comments = false;

  const line = () => text.slice(0, place).split("\n").length;
  const fail = (why) => {
    throw new Unreadable(line(), why);
  };
  const column = () => place - (text.lastIndexOf("\n", place - 1) + 1);
  const blank = (c) => c === " " || c === "\t";
  const ends = (c) => c === undefined || c === "\n" || blank(c);
  const restOfLine = () => text.slice(place, (text.indexOf("\n", place) + 1 || text.length + 1) - 1);

  // Moves over blanks, comments and line ends to the next thing; its column is its indentation.
  function next(sameLine = false) {
    for (;;) {
      const c = text[place];
      if (c === "\t" && !sameLine && /^[ \t]*$/.test(text.slice(place - column(), place)) && restOfLine().trim())
        fail("there is a tab in front; use spaces");
      if (blank(c)) place++;
      else if (c === "#" && (place === 0 || ends(text[place - 1]))) {
        comments ||= restOfLine() !== HEADER;
        place += restOfLine().length;
      } else if (c === "\n" && !sameLine) place++;
      else return;
    }
  }

  function endLine() {
    next(true);
    if (place < text.length && text[place] !== "\n")
      fail("there is more on this line than can be read; put texts into quotes");
  }

  function deeper(read) {
    if (++depth > deepest) fail("nested too deeply");
    const value = read();
    depth--;
    return value;
  }

  function quoted() {
    const mark = text[place++];
    let found = "";
    for (;;) {
      const c = text[place];
      if (c === undefined || c === "\n") fail("a text in quotes ends on its line");
      place++;
      if (c === mark) {
        if (mark === "'" && text[place] === "'") {
          found += "'";
          place++;
        } else return found;
      } else if (c === "\\" && mark === '"') {
        found += escaped();
      } else found += c;
    }
  }

  function escaped() {
    const c = text[place++],
      width = { x: 2, u: 4, U: 8 }[c];
    if (width) {
      const digits = text.slice(place, (place += width));
      if (!/^[0-9A-Fa-f]+$/.test(digits) || digits.length < width || parseInt(digits, 16) > 0x10ffff)
        fail("a character is written wrongly after \\" + c);
      return String.fromCodePoint(parseInt(digits, 16));
    }
    const plain = { n: "\n", t: "\t", '"': '"', "\\": "\\", "/": "/", " ": " " }[c];
    return plain === undefined ? fail("\\" + c + " can't be read here") : plain;
  }

  function plain(stop) {
    if (/[&*!|>%@`"']/.test(text[place]))
      fail(`${text[place]} in front of a text can't be read here; put the text into quotes`);
    if (/[-?:]/.test(text[place]) && ends(text[place + 1])) fail("there is a sign where a text was expected");
    const start = place;
    while (
      place < text.length &&
      text[place] !== "\n" &&
      !stop(text[place], text[place + 1]) &&
      !(text[place] === "#" && blank(text[place - 1]))
    )
      place++;
    return text.slice(start, place).trimEnd();
  }

  function meaning(word) {
    if (/^(|~|null|Null|NULL)$/.test(word)) return null;
    if (/^(true|True|TRUE)$/.test(word)) return true;
    if (/^(false|False|FALSE)$/.test(word)) return false;
    if (/^[-+]?\.(inf|Inf|INF)$|^\.(nan|NaN|NAN)$/.test(word)) fail(`${word} is not a number that can be measured`);
    if (/^[-+]?(\.[0-9]+|(0|[1-9][0-9]*)(\.[0-9]*)?)([eE][-+]?[0-9]+)?$/.test(word)) {
      if (word.replace(/[^0-9]/g, "").length > 15 || !Number.isFinite(Number(word))) fail("this number is too long");
      return Number(word);
    }
    return word;
  }

  // In brackets: { } and [ ], over as many lines as they need.
  function flow() {
    next();
    const c = text[place];
    if (c === "{" || c === "[") return deeper(c === "{" ? flowMap : flowList);
    if (c === "'" || c === '"') return quoted();
    if (c === "," || c === "}" || c === "]") return null;
    return meaning(
      plain((one, after) => ",[]{}".includes(one) || (one === ":" && (ends(after) || ",[]{}".includes(after)))),
    );
  }

  function flowMap() {
    const found = new Map();
    place++;
    for (;;) {
      next();
      if (text[place] === "}") {
        place++;
        return found;
      }
      const key = "'\"".includes(text[place])
        ? quoted()
        : plain((one, after) => ",[]{}".includes(one) || (one === ":" && (ends(after) || ",[]{}".includes(after))));
      next();
      if (text[place] !== ":") fail("a colon was expected here, or a bracket is not closed");
      place++;
      put(found, key, flow());
      separator("}");
    }
  }

  function flowList() {
    const found = [];
    place++;
    for (;;) {
      next();
      if (text[place] === "]") {
        place++;
        return found;
      }
      if (text[place] === ",") fail("there is nothing between two commas");
      found.push(flow());
      separator("]");
    }
  }

  function separator(close) {
    next();
    if (text[place] === ",") place++;
    else if (text[place] !== close) fail(`a comma or ${close} was expected here`);
  }

  function put(map, key, value) {
    if (key === "") fail("there is no key before the colon");
    if (map.has(key)) fail(`${key} is written twice`);
    map.set(key, value);
  }

  // By indentation: keys and dashes in a column.
  const atDash = () => text[place] === "-" && ends(text[place + 1]);
  const atKey = () =>
    /^("(?:[^"\\]|\\.)*"|'(?:[^']|'')*'|[^[\]{}"'#,&*!|>%@`\s](?:(?! #|:(?:\s|$)).)*)[ \t]*:(\s|$)/.test(restOfLine());

  function block(indent) {
    if (atDash()) return deeper(() => blockList(indent));
    if (atKey()) return deeper(() => blockMap(indent));
    return inline();
  }

  function inline() {
    const c = text[place];
    const value =
      c === "{" || c === "["
        ? flow()
        : c === "'" || c === '"'
          ? quoted()
          : meaning(
              plain((one, after) => one === ":" && ends(after) && fail("a colon in a text: put the text into quotes")),
            );
    endLine();
    return value;
  }

  function blockMap(indent) {
    const found = new Map();
    for (;;) {
      if (!atKey()) fail("a key and a colon were expected here");
      const key = "'\"".includes(text[place]) ? quoted() : plain((one, after) => one === ":" && ends(after));
      next(true);
      place++; // the colon
      next(true);
      put(found, key, place < text.length && text[place] !== "\n" ? inline() : below(indent, true));
      next();
      if (place >= text.length || column() < indent) return found;
      if (column() > indent) fail("this stands too far to the right");
    }
  }

  function blockList(indent) {
    const found = [];
    for (;;) {
      place++;
      next(true);
      found.push(place < text.length && text[place] !== "\n" ? block(column()) : below(indent, false));
      next();
      if (place >= text.length || column() < indent) return found;
      if (column() > indent) fail("this stands too far to the right");
      if (!atDash()) return found; // the key after a list that stands in its column
    }
  }

  function below(indent, ofKey) {
    next();
    if (place >= text.length) return null;
    return column() > indent || (ofKey && column() === indent && atDash()) ? block(column()) : null;
  }

  next();
  if (/^---\s*$/m.test(restOfLine())) {
    place += 3;
    endLine();
    next();
  }
  if (place >= text.length) fail("there is nothing in this file");
  const data = block(column());
  next();
  if (place < text.length) fail("this can't be read here");
  return { data, comments };
}

// Words that other programs take for something else than text.
const TAKEN = /^(y|n|yes|no|on|off|true|false|null|nan|inf)$/i;

function yamlWord(word) {
  return /^[A-Za-z][A-Za-z0-9_-]*$/.test(word) && !TAKEN.test(word);
}

// Feet and inches need no quotes, and would be hard to read in them.
const FEET = /^~?-?\d[0-9 .x~/'"-]*['"]$/;

function yamlText(text) {
  if (yamlWord(text) || FEET.test(text)) return text;
  if (!/[\u0000-\u001F]/.test(text)) return "'" + text.replaceAll("'", "''") + "'";
  return '"' + text.replace(/["\\]/g, "\\$&").replaceAll("\n", "\\n").replaceAll("\t", "\\t") + '"';
}

function yamlFlow(value) {
  if (value instanceof Map)
    return "{" + [...value].map(([key, one]) => `${yamlText(key)}: ${yamlFlow(one)}`).join(", ") + "}";
  if (Array.isArray(value)) return "[" + value.map(yamlFlow).join(", ") + "]";
  return typeof value === "string" ? yamlText(value) : String(value);
}

// Block style; what fits on a line stands on one, as in a notebook.
function yamlBlock(value, indent) {
  const space = " ".repeat(indent),
    lines = [];
  for (const [key, one] of value instanceof Map ? value : value.map((each) => [null, each])) {
    const start = key === null ? "- " : yamlText(key) + ":";
    const flow = yamlFlow(one);
    const holds = one instanceof Map ? one.size : Array.isArray(one) ? one.length : 0;
    const manyParts = Array.isArray(one) && one.some((each) => each instanceof Map);
    if (!holds || (!manyParts && indent + start.length + flow.length < 118))
      lines.push(space + start + (key === null ? "" : " ") + flow);
    else if (key === null) lines.push(space + "- " + yamlBlock(one, indent + 2).trimStart());
    else lines.push(space + start, yamlBlock(one, indent + 2));
  }
  return lines.join("\n");
}

// Rows of a list that nobody has written anything into yet are left out; a list of nothing else is not yet a list.
function settled(value) {
  if (value instanceof Map)
    return new Map([...value].map(([key, one]) => [key, settled(one)]).filter(([, one]) => one !== undefined));
  if (!Array.isArray(value) || !value.includes("")) return Array.isArray(value) ? value.map(settled) : value;
  const left = value.filter((one) => one !== "");
  return left.length ? left : undefined;
}

function writeYaml(site) {
  return HEADER + "\n" + yamlBlock(settled(site), 0) + "\n";
}
