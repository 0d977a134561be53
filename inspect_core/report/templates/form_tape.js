"use strict";
// Lengths as on a tape, read well enough for a sketch and for a friendly word; `check` reads them for good.

const PER_INCH = {
  "'": 12,
  ft: 12,
  foot: 12,
  feet: 12,
  '"': 1,
  in: 1,
  inch: 1,
  inches: 1,
  yd: 36,
  mil: 1 / 1000,
  mm: 1 / 25.4,
  cm: 1 / 2.54,
  m: 1 / 0.0254,
  um: 1 / 25400,
};
const NUMBER = String.raw`\d+[ -]\d+/\d+|\d+/\d+|\d+\.\d*|\.\d+|\d+`;
const UNIT = String.raw`'|"|ft\.?|foot|feet|in\.?|inch|inches|yd|mils?|mm|cm|m|um`;
const READING = new RegExp(
  String.raw`^([-+]?)\s*(${NUMBER})\s*(${UNIT})?(?:\s*[-,]?\s*(?:and\s+)?(${NUMBER})\s*("|in\.?|inch|inches)?)?$`,
  "i",
);

// Keyboards of phones put in other quotes, dashes and fractions than a tape has.
const FRACTIONS = {
  "\u00BD": "1/2",
  "\u00BC": "1/4",
  "\u00BE": "3/4",
  "\u215B": "1/8",
  "\u215C": "3/8",
  "\u215D": "5/8",
  "\u215E": "7/8",
};
const GUESS = /^(~|\u2248|about |approximately |approx\. |approx |roughly ) ?/i;
const NOT_KNOWN = /^(unknown|\?|not[ -]measured)$/i;

function plainSigns(text) {
  return String(text)
    .replace(/[\u00BC-\u00BE\u215B-\u215E]/g, (sign) => ` ${FRACTIONS[sign]}`)
    .replace(/\u2044/g, "/")
    .replace(/[\u2032\u2018\u2019\u201B]/g, "'")
    .replace(/[\u2033\u201C\u201D\u201F]/g, '"')
    .replace(/[\u2010-\u2014\u2212]/g, "-")
    .replace(/\u00D7/g, "x")
    .replace(/\u2026/g, "..")
    .replace(/\s+/g, " ")
    .trim();
}

function numberOf(text) {
  const [, whole, over, under] = /^(?:(\d+)[ -])?(\d+)\/(\d+)$/.exec(text) || [];
  return over ? Number(whole || 0) + over / under : Number(text);
}

// One reading in inches; a bare number takes the unit. NaN where it can't be read.
function oneLength(text, unit) {
  const [, sign, first, firstUnit, second] = READING.exec(text) || [];
  if (first === undefined) return NaN;
  const name = (firstUnit || unit).toLowerCase().replace(".", "").replace("mils", "mil");
  if (second !== undefined && PER_INCH[name] !== 12) return NaN;
  const value = numberOf(first) * PER_INCH[name] + (second === undefined ? 0 : numberOf(second));
  return sign === "-" ? -value : value;
}

// The middle of a reading, a guess (~16) or a range (15 1/2 .. 16 1/4), in inches.
function inches(value, units) {
  if (value === undefined || value === null || typeof value === "object") return NaN;
  const ends = plainSigns(value)
    .replace(GUESS, "")
    .split(/ ?\.\. ?| to /i);
  if (ends.length > 2) return NaN;
  const [, , , lastUnit] = READING.exec(ends[ends.length - 1]) || [];
  const read = ends.map((end) =>
    oneLength(end, ends.length === 2 && lastUnit && !/[a-z'"]/i.test(end) ? lastUnit : units),
  );
  return read.reduce((sum, one) => sum + one, 0) / read.length;
}

function extentInches(value, units) {
  const sides = plainSigns(value === undefined ? "" : value)
    .replace(GUESS, "")
    .split(/ ?x ?| by /i);
  if (sides.length !== 2) return [NaN, NaN];
  const [, , , lastUnit] = READING.exec(sides[1].replace(GUESS, "")) || [];
  return [inches(sides[0], lastUnit && !/[a-z'"]/i.test(sides[0]) ? lastUnit : units), inches(sides[1], units)];
}

const PATTERN = /^(~?) ?every (.+) from (.+) (to|for) (.+)$/i;

// Places of a row of joists on the across tape, in inches.
function placesOf(at, units) {
  if (Array.isArray(at)) return at.slice(0, 2000).map((one) => inches(one, units));
  const [, , stepText, startText, word, lastText] = PATTERN.exec(plainSigns(at === undefined ? "" : at)) || [];
  if (word === undefined) return [];
  const unit = (/(mm|cm|m)$/i.exec(stepText) || [units])[0];
  const step = inches(stepText, units),
    start = inches(startText, unit);
  const count =
    word.toLowerCase() === "for" ? Number(lastText) : Math.floor((inches(lastText, unit) - start) / step + 1e-6) + 1;
  if (!(step > 0) || !(count > 0)) return [];
  return Array.from({ length: Math.min(count, 2000) }, (_, k) => start + k * step);
}

// Whether a typed text looks like what its field asks for; texts and other quantities are left to `check`.
function looksRight(kind, value, units) {
  if (typeof value === "number" || NOT_KNOWN.test(value)) return true;
  if (kind === "length") return !Number.isNaN(inches(value, units));
  if (kind === "extent") return !extentInches(value, units).some(Number.isNaN);
  if (kind === "size") return /\d\s*(mm|cm|"|in)?\s*(x|by)\s*~?\d/i.test(value);
  return kind !== "number" || /^[-+]?[.\d]/.test(String(value).replace(GUESS, ""));
}
