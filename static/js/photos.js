// Photos: shrunk on the phone before they are sent, sent one by one with what is on its way shown, marked by tap or by
// arrow keys, two compared under one hand. Every page works without this file.
(() => {
  const LARGE_SIDE = 2048;
  const SMALL_ENOUGH = 1_000_000;
  const make = (name, properties = {}) => Object.assign(document.createElement(name), properties);

  // ---- When it was taken: the one thing of the camera's data that goes up; the place never leaves the phone. ----

  function exifBlock(view) {
    for (let at = 2; at + 10 < view.byteLength && view.getUint8(at) === 0xff; at += 2 + view.getUint16(at + 2)) {
      if (view.getUint8(at + 1) === 0xda) return null;
      if (view.getUint8(at + 1) === 0xe1 && view.getUint32(at + 4) === 0x45786966) return at + 10;
    }
    return null;
  }

  function entryOf(view, base, directory, tag, little) {
    const entries = view.getUint16(base + directory, little);
    for (let number = 0; number < entries; number += 1) {
      const at = base + directory + 2 + 12 * number;
      if (view.getUint16(at, little) === tag) return at;
    }
    return null;
  }

  function textOf(view, base, at, little) {
    if (at === null) return "";
    const length = view.getUint32(at + 4, little);
    const start = length > 4 ? base + view.getUint32(at + 8, little) : at + 8;
    let text = "";
    for (let place = start; place < start + Math.min(length, 32) && view.getUint8(place); place += 1)
      text += String.fromCharCode(view.getUint8(place));
    return text;
  }

  async function takenAt(file) {
    try {
      const view = new DataView(await file.slice(0, 262144).arrayBuffer());
      const base = view.getUint16(0) === 0xffd8 ? exifBlock(view) : null;
      if (base === null) return { moment: "", offset: "" };
      const little = view.getUint16(base) === 0x4949;
      const pointer = entryOf(view, base, view.getUint32(base + 4, little), 0x8769, little);
      const directory = view.getUint32(pointer + 8, little);
      const read = (tag) => textOf(view, base, entryOf(view, base, directory, tag, little), little);
      return { moment: read(0x9003), offset: read(0x9011) };
    } catch { // a broken block says nothing
      return { moment: "", offset: "" };
    }
  }

  // A block with those two texts only: header, one directory that points to another, two entries, their texts.
  function exifOf({ moment, offset }) {
    const texts = [[0x9003, moment], [0x9011, offset]].filter(([, text]) => text);
    const words = texts.map(([, text]) => `${text}\0`);
    const begin = 26 + 2 + 12 * texts.length + 4;
    const view = new DataView(new ArrayBuffer(10 + begin + words.join("").length));
    const base = 10;
    view.setUint32(0, 0xffe10000 + view.byteLength - 2);
    view.setUint32(4, 0x45786966);
    view.setUint32(base, 0x4d4d002a);
    view.setUint32(base + 4, 8);
    view.setUint16(base + 8, 1);
    view.setUint16(base + 10, 0x8769);
    view.setUint16(base + 12, 4);
    view.setUint32(base + 14, 1);
    view.setUint32(base + 18, 26);
    view.setUint16(base + 26, texts.length);
    let free = begin;
    texts.forEach(([tag], number) => {
      const at = base + 28 + 12 * number;
      view.setUint16(at, tag);
      view.setUint16(at + 2, 2);
      view.setUint32(at + 4, words[number].length);
      view.setUint32(at + 8, free);
      for (const letter of words[number]) view.setUint8(base + free++, letter.charCodeAt(0));
    });
    return view.buffer;
  }

  // ---- Shrinking ----

  async function shrunk(file) {
    let picture;
    try {
      picture = await createImageBitmap(file);
    } catch { // not a picture this browser can read: the club's computer says what it thinks of it
      return file;
    }
    const scale = Math.min(1, LARGE_SIDE / Math.max(picture.width, picture.height));
    if (scale === 1 && file.size <= SMALL_ENOUGH) return file;
    const canvas = make("canvas", { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
    const paper = canvas.getContext("2d");
    paper.fillStyle = "#fff";
    paper.fillRect(0, 0, canvas.width, canvas.height);
    paper.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.88));
    if (!blob) return file;
    const taken = await takenAt(file);
    const parts = taken.moment ? [blob.slice(0, 2), exifOf(taken), blob.slice(2)] : [blob];
    return new File(parts, file.name, { type: "image/jpeg", lastModified: file.lastModified });
  }

  const busy = new WeakMap();

  async function shrinkAll(input) {
    const chosen = new DataTransfer();
    for (const file of input.files) chosen.items.add(await shrunk(file));
    input.files = chosen.files;
  }

  document.addEventListener("change", (event) => {
    const input = event.target;
    if (!input.matches?.("input[type=file][data-photos]")) return;
    const work = shrinkAll(input).finally(() => busy.delete(input));
    busy.set(input, work);
  });

  // A form is held back until its pictures are small, then sent as if nothing had been.
  document.addEventListener("submit", (event) => {
    const works = [...event.target.querySelectorAll("input[data-photos]")].map((input) => busy.get(input)).filter(Boolean);
    if (!works.length) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const { target, submitter } = event;
    Promise.allSettled(works).then(() => target.requestSubmit(submitter));
  }, true);

  // ---- Sending, one by one, each with a mark of its own so that it can safely be sent again ----

  function newMark() { // crypto.randomUUID is there over https only
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  }

  function lineFor(list, file) {
    const line = make("li");
    const state = make("span", { textContent: "waits" });
    const bar = make("progress", { max: 1, value: 0 });
    bar.setAttribute("aria-label", `${file.name}, sent`);
    line.append(make("span", { textContent: file.name }), state, bar);
    list.append(line);
    return {
      show(part) {
        bar.value = part;
        state.textContent = part < 1 ? `${Math.round(100 * part)} %` : "being looked at";
      },
      done() { bar.value = 1; state.textContent = "added"; },
      fail(words, again) {
        state.textContent = "not added";
        const error = make("p", { className: "error", textContent: words });
        const button = make("button", { type: "button", textContent: "Send it again" });
        button.addEventListener("click", () => { error.remove(); button.remove(); again(); });
        line.append(error, ...(again ? [button] : []));
      },
    };
  }

  function refusal(request) {
    if (request.status === 204) return "You were signed out meanwhile. Sign in on another page, then send it again.";
    if (request.status === 413) return "It is larger than 25 MB.";
    const page = new DOMParser().parseFromString(request.responseText || "", "text/html");
    const words = [...page.querySelectorAll(".error-summary li")].map((line) => line.textContent.trim()).join(" ");
    return words || "The club's computer did not take it. Send it again, or tell the administrator.";
  }

  function sendOne(form, input, file, mark, line) {
    const data = new FormData(form);
    data.delete(input.name);
    data.append(input.name, file, file.name);
    data.set("submission", mark);
    return new Promise((finished) => {
      const request = new XMLHttpRequest();
      const again = () => sendOne(form, input, file, mark, line).then((added) => added && location.reload());
      const end = (words, mayRepeat) => {
        if (words) line.fail(words, mayRepeat && again);
        else line.done();
        finished(!words);
      };
      request.upload.addEventListener("progress", (event) => line.show(event.loaded / event.total));
      request.addEventListener("error", () => end("No signal. It is still here.", true));
      request.addEventListener("load", () => {
        const added = request.status === 204 && request.getResponseHeader("HX-Redirect");
        end(added ? "" : refusal(request), request.status !== 422);
      });
      request.open("POST", form.action);
      request.setRequestHeader("HX-Request", "true"); // answered by a word where to go, not by the whole page
      request.send(data);
    });
  }

  async function sendAll(form, input) {
    const button = form.querySelector("button.main");
    form.querySelector(".uploads")?.remove();
    const list = make("ul", { className: "uploads" });
    list.setAttribute("aria-live", "polite");
    form.append(list);
    button.disabled = true;
    const files = [...input.files].sort((one, other) => one.lastModified - other.lastModified);
    const lines = files.map((file) => lineFor(list, file));
    let added = 0;
    for (const [number, file] of files.entries()) added += await sendOne(form, input, file, newMark(), lines[number]);
    button.disabled = false;
    if (added === files.length) location.assign(form.action);
    else finishWith(form, input, list, added);
  }

  function finishWith(form, input, list, added) { // what was refused stays in the list with its reason
    input.value = "";
    if (!added) return;
    const line = make("li");
    line.append(make("a", { href: form.action, textContent: `Show the ${added} added`, className: "tap" }));
    list.append(line);
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    const input = form.matches("[data-upload]") && form.querySelector("input[type=file]");
    if (!input || !input.files.length || event.defaultPrevented) return;
    const unsaid = [...form.querySelectorAll("input[required]")].some((field) => !field.value);
    if (unsaid) return; // the plain way answers with what is missing
    event.preventDefault();
    sendAll(form, input);
  });

  // ---- Marks: a tap on the picture, or the arrow keys on it, fill the numbers of the form ----

  const SVG = "http://www.w3.org/2000/svg";
  const draw = (name, attributes) => {
    const shape = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) shape.setAttribute(key, value);
    return shape;
  };
  const markForm = () => document.querySelector("form[data-mark-form]");
  const places = (form) => (form.elements.tap?.value === "balloon" ? ["balloon_across", "balloon_down"] : ["across", "down"]);
  const within = (number) => Math.min(100, Math.max(0, number));

  function showMark(form) {
    const sheet = document.querySelector("[data-placing] .photo-marks");
    sheet?.querySelector(".mark-new")?.remove();
    const read = (name) => parseFloat(form.elements[name].value);
    const [x, y, ringX, ringY] = [read("across"), read("down"), read("balloon_across"), read("balloon_down")];
    if (!sheet || Number.isNaN(x) || Number.isNaN(y)) return;
    const group = draw("g", { class: "mark-new" });
    if (!Number.isNaN(ringX) && !Number.isNaN(ringY)) {
      const line = { x1: `${ringX}%`, y1: `${ringY}%`, x2: `${x}%`, y2: `${y}%` };
      group.append(draw("line", { class: "mark-under", ...line }), draw("line", { class: "mark-leader", ...line }));
      group.append(draw("circle", { class: "mark-balloon", cx: `${ringX}%`, cy: `${ringY}%`, r: 14 }));
    }
    group.append(draw("circle", { class: "mark-end", cx: `${x}%`, cy: `${y}%`, r: 7 }));
    sheet.append(group);
  }

  function place(form, across, down) {
    const [first, second] = places(form);
    form.elements[first].value = within(across).toFixed(1);
    form.elements[second].value = within(down).toFixed(1);
    form.closest("details")?.setAttribute("open", "");
    form.elements[first].closest("details")?.setAttribute("open", "");
    showMark(form);
  }

  document.addEventListener("click", (event) => {
    const picture = event.target.closest?.("[data-placing]");
    const form = markForm();
    if (!picture || !form) return;
    const box = picture.getBoundingClientRect();
    place(form, (100 * (event.clientX - box.left)) / box.width, (100 * (event.clientY - box.top)) / box.height);
  });

  const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

  document.addEventListener("keydown", (event) => {
    const picture = event.target.closest?.("[data-placing]");
    const form = markForm();
    const step = STEPS[event.key];
    if (!picture || !form || !step) return;
    event.preventDefault();
    const size = event.shiftKey ? 5 : 1;
    const [across, down] = places(form).map((name) => parseFloat(form.elements[name].value));
    place(form, (Number.isNaN(across) ? 50 : across) + size * step[0], (Number.isNaN(down) ? 50 : down) + size * step[1]);
  });

  document.addEventListener("input", (event) => {
    const form = event.target.closest?.("form[data-mark-form]");
    if (form) showMark(form);
  });

  function readyToPlace() {
    const picture = document.querySelector("[data-placing]:not(.ready)");
    const form = markForm();
    if (!picture || !form) return;
    picture.classList.add("ready");
    picture.tabIndex = 0;
    picture.setAttribute("role", "group");
    picture.setAttribute("aria-label", "The picture: the arrow keys move the spot of the new mark");
    for (const hidden of form.querySelectorAll("[data-placing-help], [data-tap-choice]")) hidden.hidden = false;
    showMark(form);
  }

  // ---- Before and after ----

  function layOver() {
    const box = document.querySelector("[data-compare]");
    if (!box) return;
    const cut = box.querySelector("input[type=range]");
    const hold = box.querySelector("[data-compare-hold]");
    box.classList.add("laid-over");
    box.querySelector("[data-compare-hand]").hidden = false;
    const show = () => box.style.setProperty("--cut", `${cut.value}%`);
    cut.addEventListener("input", show);
    show();
    const latest = box.querySelector("figure:last-child img");
    box.style.setProperty("--shape", `${latest.getAttribute("width")} / ${latest.getAttribute("height")}`);
    const whole = (on) => { box.classList.toggle("whole", on); hold.setAttribute("aria-pressed", String(on)); };
    whole(false);
    hold.addEventListener("pointerdown", () => whole(true));
    for (const end of ["pointerup", "pointercancel", "pointerleave", "blur"]) hold.addEventListener(end, () => whole(false));
    hold.addEventListener("keydown", (event) => { if (event.key === " " || event.key === "Enter") whole(true); });
    hold.addEventListener("keyup", () => whole(false));
    hold.addEventListener("contextmenu", (event) => event.preventDefault());
  }

  document.addEventListener("htmx:afterSettle", readyToPlace);
  readyToPlace();
  layOver();
})();
