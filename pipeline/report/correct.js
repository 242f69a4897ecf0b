"use strict";
// Corrections: what is wrong with a piece is put right on its sheet, and the job
// file that says so is handed back, or saved where the page is under review.
(function () {
  const data = document.getElementById("job-data"), place = document.getElementById("corrections");
  if (!data || !place) return;
  const was = JSON.parse(data.textContent), now = structuredClone(was);
  const $ = (id) => document.getElementById(id);
  const make = (tag, attributes, ...inside) => {
    const e = document.createElement(tag);
    for (const [k, v] of Object.entries(attributes || {})) {
      if (k.startsWith("on")) e.addEventListener(k.slice(2), v); else if (v === true) e.setAttribute(k, k); else if (v !== false && v != null) e.setAttribute(k, v);
    }
    e.append(...inside);
    return e;
  };

  // --- the job file, in the words that a run writes it with
  const word = (s) => "'" + String(s).replaceAll("'", "''") + "'";
  const point = (p) => "[" + p.join(", ") + "]";
  const ref = (r) => Array.isArray(r) ? point(r) : word(r);
  const block = (indent, key, lines) => indent + key + (lines.length ? ":\n" + lines.map((l) => indent + "  - " + l + "\n").join("") : ": []\n");
  function row(r) {
    const pairs = [];
    if (r.id) pairs.push("id: " + r.id);
    if (r.name) pairs.push("name: " + word(r.name));
    if (r.at) pairs.push("at: " + point(r.at));
    if (r.kind) pairs.push("kind: " + r.kind);
    if (r.stock) pairs.push("stock: " + word(r.stock));
    pairs.push("made: " + Boolean(r.made));
    return "{" + pairs.join(", ") + "}";
  }
  const text = (j) => j.before + "pieces:\n  expected: " + (j.expected || "unknown") + "\n" +
    block("  ", "rows", j.rows.map(row)) +
    block("  ", "join", j.join.map((refs) => "[" + refs.map(ref).join(", ") + "]")) +
    block("  ", "part", j.part.map((points) => "[" + points.map(point).join(", ") + "]")) +
    j.after +
    block("", "decided", j.decided.map((d) => "{on: " + word(d.on) + (d.note ? ", note: " + word(d.note) : "") + "}"));

  // --- what was changed, in words
  const rowOf = (j, id) => j.rows.find((r) => r.id === id);
  const label = (id) => { const r = rowOf(now, id); return r && r.name ? id + " " + r.name : id; };
  const kind = (k) => k ? k.replaceAll("_", " ") : "as the scan says";
  function changes() {
    const out = [], add = (what, undo) => out.push({ what, undo });
    for (const r of now.rows) {
      const o = rowOf(was, r.id);
      if (!o) continue;
      const told = (key, what) => { if ((r[key] || "") !== (o[key] || "")) add(r.id + ": " + what, () => { r[key] = o[key]; }); };
      told("name", "name " + (r.name || "none") + (o.name ? ", was " + o.name : ""));
      told("kind", "kind " + kind(r.kind));
      told("stock", r.stock ? "stock pinned to " + r.stock : "stock chosen freely");
      told("made", r.made ? "made already" : "not made yet");
    }
    now.join.slice(was.join.length).forEach((refs, i) => add("one piece: " + refs.map((r) => Array.isArray(r) ? point(r) : label(r)).join(" and "), () => now.join.splice(was.join.length + i, 1)));
    now.part.slice(was.part.length).forEach((points, i) => add("two pieces: at " + points.map(point).join(" and at "), () => now.part.splice(was.part.length + i, 1)));
    for (const d of now.decided) {
      const o = was.decided.find((x) => x.on === d.on);
      if (!o || (o.note || "") !== (d.note || "")) add("decided, " + d.on + (d.note ? ": " + d.note : ""), () => { now.decided = now.decided.filter((x) => x !== d).concat(o ? [o] : []); });
    }
    for (const o of was.decided) if (!now.decided.some((x) => x.on === o.on)) add("open again, " + o.on, () => now.decided.push(o));
    return out;
  }
  let saved = text(was), review = false;
  const many = make("p", { class: "quiet" }), way = () => make("a", { href: "#corrections" }, "the corrections");
  function show() {
    const list = changes(), ol = $("correct-list");
    ol.replaceChildren(...list.map((c) => make("li", {}, c.what + " ", make("button", { type: "button", "aria-label": "take back: " + c.what, onclick: () => { c.undo(); show(); } }, "take back"))));
    $("correct-none").hidden = list.length > 0;
    $("correct-job").value = text(now);
    for (const b of place.querySelectorAll("button[data-needs]")) b.disabled = list.length === 0;
    many.replaceChildren(list.length === 1 ? "1 correction was made in this page: " : list.length + " corrections were made in this page: ", way());
    many.hidden = list.length === 0;
    fill();
  }
  addEventListener("beforeunload", (e) => { if (changes().length > 0 && text(now) !== saved) e.preventDefault(); });

  // --- a piece's own form
  const fillers = [];
  const fill = () => fillers.forEach((f) => f());
  const numbers = (s) => {
    const p = s.replace(/[[\]]/g, " ").trim().split(/[\s,;]+/).map(Number);
    return p.length === 3 && p.every(Number.isFinite) ? p : null;
  };
  function form(div) {
    const id = div.dataset.id, r = rowOf(now, id);
    if (!r) return;
    const unit = was.unit, says = make("p", { class: "quiet", "aria-live": "polite" });
    const name = make("input", { type: "text", maxlength: 60, oninput: () => { r.name = name.value.trim(); show(); } });
    const choose = make("select", { onchange: () => { r.kind = choose.value; show(); } },
      make("option", { value: "" }, "as the scan says"), ...was.kinds.map((k) => make("option", { value: k }, kind(k))));
    const marks = make("datalist", { id: "stock-" + id }, ...(was.stock[id] || []).map((m) => make("option", { value: m })));
    const stock = make("input", { type: "text", list: "stock-" + id, maxlength: 60, oninput: () => { r.stock = stock.value.trim(); show(); } });
    const made = make("input", { type: "checkbox", onchange: () => { r.made = made.checked; show(); } });
    const other = make("select", {}, make("option", { value: "" }, "choose a piece"), ...was.rows.filter((o) => o.id && o.id !== id).map((o) => make("option", { value: o.id }, o.name ? o.id + " " + o.name : o.id)));
    const join = make("button", { type: "button", onclick: () => { if (other.value) { now.join.push([id, other.value]); other.value = ""; show(); says.replaceChildren("Joined; see ", way()); } } }, "join the two");
    const first = make("input", { type: "text", size: 26, placeholder: "x, y, z" }), second = make("input", { type: "text", size: 26, placeholder: "x, y, z" });
    const part = make("button", { type: "button", onclick: () => {
      const p = [numbers(first.value), numbers(second.value)];
      if (!p[0] || !p[1]) { says.textContent = "Give both points as x, y, z in " + unit + " of the scan."; return; }
      now.part.push(p); first.value = second.value = ""; show(); says.replaceChildren("Parted; see ", way());
    } }, "part it");
    const take = (to) => make("button", { type: "button", onclick: () => {
      if (!window.fig1) { says.textContent = "Fig. 1 is not shown; type the point."; return; }
      const rest = $("fig1-says").textContent, back = location.hash;
      location.hash = "#fig1"; window.fig1.select(id);
      $("fig1-says").textContent = "Press the place on " + label(id) + ", on the metal and off the weld.";
      window.fig1.take = (p) => {
        if (p && p.id !== id) { $("fig1-says").textContent = "That is " + label(p.id) + "; press a place on " + label(id) + "."; return; }
        window.fig1.take = null; $("fig1-says").textContent = rest;
        if (p) to.value = p.at.map((x) => +x.toFixed(3)).join(", ");
        location.hash = back || "#" + id; div.querySelector("details").open = true; to.focus();
      };
    } }, "take it in Fig. 1");
    const line = (what, ...inside) => make("p", {}, make("label", {}, make("span", {}, what), inside[0]), ...inside.slice(1));
    div.append(make("details", {}, make("summary", {}, "Correct this piece"),
      line("Name", name), line("Kind", choose), line("Stock", stock, marks), line("Made already", made),
      line("The same piece as", other, join),
      line("Two pieces: a point on one", first, take(first)), line("and on the other", second, take(second), part), says));
    fillers.push(() => {
      if (document.activeElement !== name) name.value = r.name || "";
      if (document.activeElement !== stock) stock.value = r.stock || "";
      choose.value = r.kind || ""; made.checked = Boolean(r.made);
    });
  }

  // --- decisions
  function decide(li) {
    const on = li.dataset.decision, field = make("input", { type: "text", size: 40, maxlength: 200, "aria-label": "what was decided" });
    const given = () => now.decided.find((d) => d.on === on);
    const box = make("input", { type: "checkbox", onchange: () => { set(); } });
    const set = () => {
      now.decided = now.decided.filter((d) => d.on !== on);
      if (box.checked) now.decided.push({ on, note: field.value.trim() });
      show();
    };
    field.addEventListener("input", () => { if (field.value.trim()) box.checked = true; set(); });
    li.append(make("p", { class: "decides" }, make("label", {}, box, " decided"), " ", field));
    fillers.push(() => {
      const d = given();
      box.checked = Boolean(d);
      if (document.activeElement !== field) field.value = d ? d.note || "" : "";
    });
  }

  // --- handing it back
  function download() {
    const a = make("a", { href: URL.createObjectURL(new Blob([text(now)], { type: "application/yaml" })), download: was.file });
    document.body.append(a); a.click(); a.remove();
    saved = text(now);
    tell("Put " + was.file + " in place of the one in the output folder, and run it: pointup run DIR/" + was.file + " -o DIR");
  }
  const tell = (s) => { $("correct-says").textContent = s; };
  async function post(name, body) {
    const r = await fetch(name, { method: "POST", body });
    const said = await r.json().catch(() => ({ error: "the review answered " + r.status }));
    if (!r.ok) throw new Error(said.error);
    return said;
  }
  async function save() {
    try { await post("job", text(now)); saved = text(now); tell("Saved."); return true; } catch (e) { tell("Not saved: " + e.message); return false; }
  }
  async function again() {
    if (text(now) !== saved && !await save()) return;
    try {
      const before = (await post("run")).runs;
      for (;;) {
        await new Promise((done) => setTimeout(done, 400));
        const s = await (await fetch("state")).json();
        if (s.runs > before) {
          if (s.error) { tell("The run ended without a result: " + s.error); return; }
          saved = text(now); location.reload(); return;
        }
        tell("Running: " + (s.stage || "begins") + (s.total ? ", " + Math.round(100 * s.done / s.total) + " %" : ""));
      }
    } catch (e) { tell("It does not run: " + e.message); }
  }
  async function begin() {
    document.querySelectorAll(".correct").forEach(form);
    document.querySelectorAll("li[data-decision]").forEach(decide);
    place.querySelector("[data-do=download]").addEventListener("click", download);
    document.querySelector(".decide").append(many);
    show();
    place.hidden = false;
    document.body.classList.add("corrects");
    if (location.protocol !== "http:") return;
    try { review = (await fetch("state")).ok; } catch { review = false; }
    if (!review) return;
    for (const [name, act] of [["save", save], ["again", again]]) {
      const b = place.querySelector("[data-do=" + name + "]");
      b.hidden = false; b.addEventListener("click", act);
    }
  }
  begin();
})();
