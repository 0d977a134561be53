// Fills the form in as somebody would: opens folds, presses buttons, types into lines. It knows the page only by its labels of
// place and kind (data-at, data-kind) and its buttons, and nothing of the script behind it.
const done = arguments[arguments.length - 1],
  wanted = arguments[0];
const pause = () => new Promise((resolve) => setTimeout(resolve));

async function opened(details) {
  if (details.open) return;
  details.querySelector(":scope > summary").click();
  for (let n = 0; details.children.length < 2 && n < 200; n++) await pause();
}

async function find(path, within) {
  for (;;) {
    const found = within.querySelector(`[data-at="${CSS.escape(path)}"]`);
    if (found) return found;
    const folded = [...within.querySelectorAll("details.section, details.more")].find((one) => !one.open);
    if (!folded) throw new Error(`nothing to fill in at ${path}`);
    await opened(folded);
  }
}

function type(box, value) {
  if (value === "unknown" && box.querySelector(".dont-know")) {
    box.querySelector(".dont-know").click();
    return;
  }
  const line = box.querySelector("input, textarea");
  line.value = String(value);
  line.dispatchEvent(new Event("input", { bubbles: true }));
  line.dispatchEvent(new Event("change", { bubbles: true }));
}

function choose(box, value) {
  const select = box.querySelector("select");
  if (select) {
    select.value = String(value);
    if (select.value !== String(value)) throw new Error(`no choice ${value} at ${box.dataset.at}`);
    select.dispatchEvent(new Event("change", { bubbles: true }));
    return;
  }
  const button = [...box.querySelectorAll("button[data-word]")].find((one) => one.dataset.word === String(value));
  if (button.getAttribute("aria-pressed") !== "true") button.click();
}

async function fillList(box, path, values) {
  const rows = box.querySelector(":scope > .items");
  if (!values.length) {
    [...box.querySelectorAll(":scope > .choices > button")].find((one) => one.textContent.startsWith("looked")).click();
    return;
  }
  for (const [k, value] of values.entries()) {
    if (rows.children.length <= k) box.querySelector(":scope > .choices > .add").click();
    await fill(await find(`${path}/${k}`, rows), `${path}/${k}`, value);
  }
}

async function fillMap(box, path, values) {
  if (!Object.keys(values).length) {
    [...box.querySelectorAll(":scope > .choices > button")].find((one) => one.textContent.startsWith("looked")).click();
    return;
  }
  for (const [name, value] of Object.entries(values)) {
    const offered = [...box.querySelectorAll(":scope > .choices button[data-name]")].find(
      (one) => one.dataset.name === name,
    );
    if (offered) offered.click();
    else {
      box.querySelector(":scope > .choices .other input").value = name;
      box.querySelector(":scope > .choices .add-named").click();
    }
    await fill(await find(`${path}/${name}`, box), `${path}/${name}`, value);
  }
}

async function fill(box, path, value) {
  const kind = box.dataset.kind;
  if (kind === "choice") choose(box, value);
  else if (kind === "list") await fillList(box, path, value);
  else if (kind === "map") await fillMap(box, path, value);
  else if (kind === "pair") for (const k of [0, 1]) type(await find(`${path}/${k}`, box), value[k]);
  else if (kind === "part") {
    await opened(box);
    await fillPart(box, path, value);
    box.open = false; // on a small screen one folds up what is done
  } else if (kind === "places") {
    const mode = Array.isArray(value) ? "list" : value === "unknown" ? "unknown" : "pattern";
    box.querySelector(`button[data-word=${mode}]`).click();
    if (mode === "list") await fillList(box.querySelector(".list"), path, value);
    if (mode === "pattern") {
      const [, every, from, to] = /^every (.+) from (.+) to (.+)$/.exec(value);
      for (const [k, one] of [every, from, to].entries()) type(await find(`${path}/${k}`, box), one);
    }
  } else type(box, value);
}

async function fillPart(box, path, values) {
  for (const [key, value] of Object.entries(values)) {
    const place = path ? `${path}/${key}` : key;
    if (place !== "format") await fill(await find(place, box), place, value);
  }
}

fillPart(document.getElementById("survey"), "", wanted).then(
  () => done(null),
  (error) => done(String(error.stack || error)),
);
