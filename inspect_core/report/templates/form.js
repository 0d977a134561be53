"use strict";
// The page: the file being filled in, its draft in this browser, opening, downloading, the sketch.

const form = JSON.parse(document.getElementById("form").textContent);
const draftKey = `inspect-core form ${location.pathname}`;
const at = (id) => document.getElementById(id);
let site = new Map(),
  undoTo = null,
  waiting = 0;

const unitsNow = () => (site.get("units") === "mm" ? "mm" : site.get("units") === "in" ? "in" : form.units);

function say(words, before = null) {
  at("said").textContent = words;
  undoTo = before;
  at("undo").hidden = before === null;
}

// --- the draft ---

let store = null;
try {
  localStorage.setItem(`${draftKey} trial`, "1");
  localStorage.removeItem(`${draftKey} trial`);
  store = localStorage;
} catch {
  /* told below */
}

function keep() {
  clearTimeout(waiting);
  waiting = 0;
  if (!store) return;
  try {
    store.setItem(draftKey, writeYaml(site));
    at("kept").textContent = "The draft is kept in this browser, on this device only.";
  } catch {
    at("kept").textContent = "The draft could NOT be kept: this browser has no room. Download the file.";
  }
}

function changed() {
  if (at("said").textContent) say(""); // what was said, and what could be undone, was before this
  followUp(false);
  if (!waiting)
    waiting = setTimeout(() => {
      keep();
      followUp(true);
      sketch();
      textShown();
    }, 250);
}

// --- showing ---

function showAll() {
  followers.clear();
  const root = { path: "", part: "", optional: false, get: () => site, set: () => {} };
  at("survey").replaceChildren(partEditor("", root));
  at("areas-shown").replaceChildren();
  sketch();
  textShown();
}

function areasNow() {
  return partsOf(site.get("areas"));
}

function sketch() {
  const areas = areasNow(),
    select = at("areas-shown"),
    chosen = Math.min(Number(select.value) || 0, Math.max(areas.length - 1, 0));
  select.replaceChildren(
    ...areas.map((area, k) =>
      make("option", { value: String(k) }, String(area.get("name") || area.get("id") || k + 1).slice(0, 60)),
    ),
  );
  select.value = String(chosen);
  at("which-area").hidden = areas.length < 2;
  const said = areas.length
    ? drawSketch(at("sketch"), areas[chosen], unitsNow(), (group, name) =>
        reveal(["areas", chosen, "joists", group, "but"], name),
      )
    : "No floor yet.";
  at("sketch-says").textContent = said;
  at("sketch").setAttribute("aria-label", `Plan sketch. ${said}`);
}

// Opens every fold down to a place; in the list there, makes the entry of that name where there is none.
function reveal(steps, name) {
  let path = "",
    within = at("survey");
  for (const step of steps) {
    path = path ? `${path}/${step}` : String(step);
    const find = () => within.querySelector(`[data-at="${CSS.escape(path)}"]`);
    const unmade = () => [...within.querySelectorAll("details.section, details.more")].find((one) => !one.made);
    for (let one; !find() && (one = unmade());) one.build();
    if (!find()) return;
    within = find();
    if (within.build) within.build();
  }
  if (within.addEntry) within.addEntry(name);
  for (let one = within; one; one = one.parentElement) if (one.localName === "details") openFold(one);
  const entry = within.querySelector(`[data-at="${CSS.escape(`${path}/${name}`)}"]`);
  if (!entry) return;
  openFold(entry);
  entry.scrollIntoView({ block: "start" });
  entry.querySelector("summary").focus({ preventScroll: true });
}

// --- files ---

function load(text, words, before) {
  let read;
  try {
    read = readYaml(text);
    if (!(read.data instanceof Map)) throw new Unreadable(1, "a site file starts with keys such as format and units");
  } catch (error) {
    if (!(error instanceof Unreadable)) throw error;
    say(`Nothing was opened. ${error.message}`);
    return false;
  }
  site = withoutNull(read.data);
  showAll();
  keep();
  say(words + (read.comments && words ? " Its comments are not kept." : ""), before);
  return true;
}

// What is left empty counts as absent.
function withoutNull(value) {
  if (value instanceof Map)
    return new Map([...value].filter(([, one]) => one !== null).map(([key, one]) => [key, withoutNull(one)]));
  return Array.isArray(value) ? value.map((one) => (one === null ? "unknown" : withoutNull(one))) : value;
}

function fileName() {
  const name = String(mapOf(site.get("site")).get("name") || "floor")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 40);
  return `${name || "floor"}.site.yaml`;
}

function download() {
  const address = URL.createObjectURL(new Blob([writeYaml(site)], { type: "application/yaml" }));
  const link = make("a", { href: address, download: fileName() });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
  const doubtful = document.querySelectorAll("[aria-invalid=true]").length;
  say(
    `${fileName()} is ready.${doubtful ? ` ${doubtful} entries do not look right; the check will say which.` : ""} Then: inspect-core check ${fileName()}`,
  );
}

function textShown() {
  if (at("as-text").open) at("text").value = writeYaml(site);
}

at("open").addEventListener("change", async () => {
  const [file] = at("open").files;
  if (!file) return;
  const before = writeYaml(site),
    text = await file.text();
  load(text, `Opened ${file.name}.`, before);
  at("open").value = "";
});
at("download").addEventListener("click", download);
at("anew").addEventListener("click", () => {
  if (!confirm("Start anew? The draft in this browser is thrown away; download it first if it is needed.")) return;
  const before = writeYaml(site);
  site = blank("");
  showAll();
  keep();
  say("Started anew.", before);
});
at("undo").addEventListener("click", () => {
  load(undoTo, "Undone.", null);
  at("said").textContent = "Undone.";
  at("download").focus();
});
at("areas-shown").addEventListener("change", sketch);
at("as-text").addEventListener("toggle", textShown);
addEventListener("pagehide", keep);
addEventListener("visibilitychange", () => {
  if (document.visibilityState === "hidden") keep();
});

// --- begin ---

site = blank("");
const draft = store && store.getItem(draftKey);
if (!draft || !load(draft, "", null)) showAll();
if (draft) say("The draft of last time is back.");
at("kept").textContent = store
  ? "The draft is kept in this browser, on this device only."
  : "This browser keeps no draft for this page: download the file before you leave.";
