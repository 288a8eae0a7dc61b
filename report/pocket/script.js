"use strict";
// The phone's page. It shows what the checker answers and keeps what is typed; what a form asks, what a row says and how a bay
// stands are the checker's to say.
(() => {
const $ = id => document.getElementById(id);
const job = JSON.parse($("job").textContent), config = JSON.parse($("config").textContent), sentences = JSON.parse($("words").textContent);

// say is a sentence of the page in the crew's language, its places filled in the order that the language has them: %s, or %[2]s.
const say = (name, ...fills) => { let n = 0; return sentences[name].replace(/%(?:\[(\d)\])?s/g, (_, at) => fills[at ? at - 1 : n++]); };

// h makes an element: h("button.big", {onclick, text}, children).
function h(kind, set = {}, ...children) {
  const [tag, ...classes] = kind.split(".");
  const el = document.createElement(tag);
  el.className = classes.join(" ");
  for (const [k, v] of Object.entries(set)) {
    if (v === undefined || v === null || v === false) continue;
    if (k === "text") el.textContent = v;
    else if (k.startsWith("on")) el[k] = v;
    else el.setAttribute(k, v === true ? "" : v);
  }
  el.append(...children.flat(9).filter(c => c !== null && c !== undefined && c !== false));
  return el;
}

// ---- What the phone keeps -------------------------------------------------------------------------------------------
// Everything lies in one database, keyed by the job's digest: all pages opened from files share it. A row is added in a strict
// transaction, and counts as kept once that is complete. Where the browser keeps nothing, rows live as long as the page.
const store = {db: null, rows: [], next: 0, earlier: [], photos: new Map(), shared: 0, failed: "", reading: false};

const done = tx => new Promise((ok, no) => { tx.oncomplete = ok; tx.onabort = tx.onerror = () => no(tx.error || new Error("storage")); });
const got = q => new Promise((ok, no) => { q.onsuccess = () => ok(q.result); q.onerror = () => no(q.error); });
const strict = (...names) => store.db.transaction(names, "readwrite", {durability: "strict"});

async function openStore() {
  try {
    const open = indexedDB.open("bayproof", 1);
    open.onupgradeneeded = () => {
      open.result.createObjectStore("rows", {keyPath: ["job", "n"]});
      open.result.createObjectStore("photos", {keyPath: ["job", "name"]});
      open.result.createObjectStore("jobs", {keyPath: "job"}); // what was shared, who types, a draft
      open.result.createObjectStore("holders", {keyPath: "job"}); // which tab writes, where the browser has no locks
    };
    store.db = await got(open);
    const try1 = strict("holders");
    try1.objectStore("holders").put({job: "try", at: Date.now()});
    await done(try1);
  } catch (e) {
    store.db = null;
    store.failed = say("keepsNothing");
    return;
  }
  const tx = store.db.transaction(["rows", "photos", "jobs"]);
  const [rows, photos, own] = await Promise.all([got(tx.objectStore("rows").getAll()), got(tx.objectStore("photos").getAllKeys()), got(tx.objectStore("jobs").get(job.digest))]);
  store.rows = rows.filter(r => r.job === job.digest && !r.moved);
  store.next = rows.reduce((n, r) => r.job === job.digest ? Math.max(n, r.n + 1) : n, 0);
  store.earlier = rows.filter(r => r.job !== job.digest && r.name === job.job && !r.moved);
  for (const [of, name] of photos) if (of === job.digest) store.photos.set(name, null);
  if (own) { store.shared = own.shared || 0; ui.by = own.by || ""; ui.machine = own.machine || ""; ui.draft = own.draft || null; }
}

// keep puts the rows of one entry on disk, all or none, and the draft that they came from is gone with the same step: a kill in
// between leaves one or the other. A row of an earlier page is marked as moved with it.
async function keep(text) {
  const first = store.next;
  const rows = JSON.parse(text).map((k, i) => ({...k, job: job.digest, name: job.job, n: first + i, id: ui.moving ? ui.moving.id : token()}));
  if (store.db && !store.reading) {
    try {
      const tx = strict("rows", "jobs");
      for (const r of rows) tx.objectStore("rows").add(r);
      if (ui.moving) tx.objectStore("rows").put({...ui.moving, moved: true});
      tx.objectStore("jobs").put(own(null));
      await done(tx);
    } catch (e) {
      ui.failure = String(e && e.name === "QuotaExceededError" ? say("full") : e && e.message || e);
      throw new Error(ui.failure);
    }
  }
  store.rows.push(...rows);
  store.next += rows.length;
  channel && channel.postMessage("rows");
  connect();
}

const own = draft => ({job: job.digest, name: job.job, shared: store.shared, by: ui.by, machine: ui.machine, draft});
const token = () => Array.from(crypto.getRandomValues(new Uint8Array(12)), b => b.toString(16).padStart(2, "0")).join("");

// note keeps who types and what is half typed. Nothing waits for it.
function note() {
  if (!store.db || store.reading) return;
  const draft = ui.form ? {form: ui.form, values: ui.values, active: ui.active, more: ui.more, running: ui.running} : null;
  try { store.db.transaction("jobs", "readwrite").objectStore("jobs").put(own(draft)); } catch (e) { /* the next row says it */ }
}

// Only one tab writes. Where the browser has locks, the second one gets none; else a tab says every two seconds that it is there.
let channel = null;
async function hold() {
  if (window.BroadcastChannel) {
    channel = new BroadcastChannel("bayproof " + job.digest);
    channel.onmessage = () => { if (store.reading) location.reload(); };
  }
  if (!store.db) return;
  if (navigator.locks) {
    store.reading = !await new Promise(ok => navigator.locks.request("bayproof " + job.digest, {ifAvailable: true}, lock => { ok(!!lock); return lock && new Promise(() => {}); }));
    return;
  }
  // A tab that is loaded anew is known by what it left as it went; a copy of a tab that still stands finds nothing.
  const left = "bayproof " + job.digest;
  let me = token();
  try { me = sessionStorage.getItem(left) || me; sessionStorage.removeItem(left); } catch (e) { /* then it waits until it is missed */ }
  addEventListener("pagehide", () => { if (!store.reading) try { sessionStorage.setItem(left, me); } catch (e) { /* as above */ } });
  addEventListener("pageshow", e => { if (e.persisted) location.reload(); });
  const beat = async () => {
    const tx = strict("holders"), at = tx.objectStore("holders"), was = await got(at.get(job.digest)), now = Date.now();
    const free = !was || was.me === me || Math.abs(now - was.at) > 6000;
    if (free && !store.reading) at.put({job: job.digest, me, at: now});
    await done(tx);
    return free;
  };
  store.reading = !await beat();
  // A tab that was closed or killed is missed after a while. The next one starts from what is on disk.
  setInterval(async () => {
    const free = await beat();
    if (!free && !store.reading) { store.reading = true; render(); } else if (free && store.reading) location.reload();
  }, 2000);
}

// ---- The checker ----------------------------------------------------------------------------------------------------
let checker = null, compiled = null; // what it exports; the promise of its code

// compile makes code of the checker beside whatever else is to be done: the largest part of opening.
function compile() {
  const text = $("checker").textContent;
  let bytes;
  if (Uint8Array.fromBase64) bytes = Uint8Array.fromBase64(text);
  else {
    const raw = atob(text);
    bytes = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
  }
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return WebAssembly.compileStreaming(new Response(stream, {headers: {"Content-Type": "application/wasm"}}));
}

async function startChecker() {
  const go = new Go(), instance = await WebAssembly.instantiate(await compiled, go.importObject);
  checker = instance.exports;
  await new Promise(ready => {
    window.bayproofReady = ready;
    go.run(instance).then(() => restart());
  });
  const kept = rows => rows.map(({row, entry, undo, after}) => ({row, entry, undo, after}));
  const answer = JSON.parse(await bayproofStart(JSON.stringify({data: {...job, photos: [...(job.photos || []), ...store.photos.keys()]}, kept: kept(store.rows), earlier: kept(store.earlier)}), keep));
  store.rows.forEach((r, i) => { r.known = answer.kept[i].known; r.why = answer.kept[i].why; });
  store.earlier = [...store.rows.filter(r => r.why), ...store.earlier.filter((r, i) => { r.why = answer.earlier[i].why; return !answer.earlier[i].known; })];
  store.rows = store.rows.filter(r => !r.why);
}

// restart puts a checker that ended in its place: out of memory, mostly. The rows are on disk.
async function restart() {
  try { await startChecker(); await look(); } catch (e) { broken(e); }
}

// call asks the checker; what it answers about a section holds for the one that is shown.
async function call(name, more = {}) {
  return JSON.parse(await bayproofCall(name, JSON.stringify({section: ui.section, machine: ui.machine, by: ui.by, ...more})));
}

// ---- What is shown --------------------------------------------------------------------------------------------------
const ui = {screen: "sections", section: "", machine: "", by: "", state: null, bay: "", form: null, values: {}, active: 0, more: false, running: 0, reply: null, busy: false, failure: "", draft: null, moving: null, why: []};

const button = (text, onclick, kind = "", more = {}) => h("button" + kind, {type: "button", onclick: guarded(onclick), ...more}, text);
const mark = (b, big) => h("span.mark" + (big ? ".big" : ""), {"aria-hidden": "true", text: b.mark});
const unshared = () => store.rows.filter(r => r.n >= store.shared && !r.known && !r.sent).length;
const sentence = text => text.charAt(0).toUpperCase() + text.slice(1);
const title = name => name || ui.state.job;

// guarded runs one tap at a time: a second one while a row is being kept is none.
function guarded(run) {
  return async event => {
    if (ui.busy) return;
    ui.busy = true;
    lastTap = performance.now();
    try { await run(event); } catch (e) { broken(e); } finally { ui.busy = false; }
  };
}

function broken(e) {
  $("page").replaceChildren(h("h1", {text: job.job}), h("p", {text: say("fault")}), h("p.fine", {text: String(e && e.message || e)}),
    h("button.main", {type: "button", onclick: () => location.reload()}, say("openAgain")));
}

function show(screen) { if (screen !== ui.screen && screen !== "form" && ui.screen !== "form") ui.said = ""; ui.screen = screen; render(); scrollTo(0, 0); }

// look asks how the job stands and shows it.
async function look() { ui.state = await call("state"); ui.section = ui.state.section; render(); }

function render() {
  document.body.className = ui.screen;
  $("page").replaceChildren(...[screens[ui.screen]()].flat(9).filter(Boolean));
  $("page").className = "screen " + ui.screen;
  const says = notices();
  $("notice").hidden = !says;
  if ($("notice").textContent !== says) $("notice").textContent = says;
  document.title = (ui.screen === "sections" ? "" : title(ui.section) + " · ") + ui.state.job + " · bayproof";
  const at = document.querySelector("[data-focus]") || document.querySelector("h1");
  if (at && ui.screen !== render.was) at.focus({preventScroll: true});
  render.was = ui.screen;
  const on = document.querySelector(".field.on");
  if (on) on.scrollIntoView({block: "nearest"});
}

function notices() {
  if (store.reading) return say("otherTab");
  if (!store.db) return store.failed;
  if (config.path && connect.out) return say(connect.out === "404" ? "newAddress" : "outOfReach") + " " + (unshared() === 1 ? say("waits1") : say("waits", unshared()));
  return "";
}

const top = (text, back, ...more) => h("header", {}, back ? button("‹", back, ".back", {"aria-label": say("back")}) : null, h("h1", {tabindex: "-1", text}), more);

const screens = {
  sections() {
    const s = ui.state;
    return [top(s.job, null, button(unshared() ? say("shareN", unshared()) : say("share"), () => show("share"), ".side", {"aria-label": unshared() ? say("shareSays", unshared()) : say("share")})),
      waiting(),
      h("ul.list", {}, s.sections.map(x => h("li", {}, button([h("strong", {text: x.name || say("allBays")}), h("span.fine", {text: x.filled}), counts(x)], () => go(x.name), ".row")))),
      s.orders.map(o => h("p.order", {text: o})),
      s.counts ? h("p.fine", {text: s.counts}) : null,
      h("div.foot", {}, button(say("more"), () => show("more")), button(ui.by || ui.machine ? [ui.by, ui.machine].filter(Boolean).join(" · ") : say("who"), () => show("crew")))];
  },
  bays() {
    const s = ui.state;
    return [top(title(ui.section), () => leaveSection(), button(say("undo"), undo, ".side", {disabled: !s.canUndo || store.reading})),
      ui.said ? h("p.refusal", {role: "alert", text: ui.said}) : null, waiting(),
      h("ol.list", {}, s.bays.map(b => h("li", {}, button([mark(b), h("strong", {text: b.bay}), h("span.word", {text: stands(b)}), b.brief ? h("span.todo", {text: b.brief}) : h("span.fine", {text: b.sizes})], () => { ui.bay = b.bay; show("bay"); }, ".row.k-" + b.kind)))),
      s.bays.length ? null : h("p.fine", {text: say("noBay")}),
      s.orders.map(o => h("p.order", {text: o})),
      h("div.foot", {}, button(say(s.full ? "oneMore" : "fill", s.next), () => ask("fill", s.next), s.full ? "" : ".main", {disabled: store.reading}), button(say("measure", s.next), () => ask("size", s.next), "", {disabled: store.reading}), button(say("anotherName"), () => show("name"), "", {disabled: store.reading}))];
  },
  bay() {
    const b = ui.state.bays.find(x => x.bay === ui.bay);
    if (!b) return screens.bays();
    const can = store.reading ? {disabled: true} : {};
    return [top(b.bay, () => show("bays")),
      h("div.stand.k-" + b.kind, {}, mark(b, true), h("strong", {text: stands(b)}), b.brief ? h("p", {text: sentence(b.brief)}) : null, b.order && b.order !== b.brief ? h("p.fine", {text: b.order}) : null, b.sizes ? h("p.fine", {text: b.sizes}) : null),
      h("div.actions", {}, actions(b).map(([text, run, kind]) => button(text, run, kind || "", can)), b.filled ? button(say("why"), why) : null)];
  },
  form() { return form(); },
  verdict() {
    const r = ui.reply, b = r.bay || {mark: "✓", word: say("logged"), kind: "open", bay: "", order: "", brief: ""}, last = ui.state.next;
    return [h("div.full.k-" + b.kind, {role: "status"}, h("h1", {tabindex: "-1"}, mark(b, true), h("span.huge", {text: b.word}), b.own ? h("span.huge.own", {text: b.own}) : null), h("p.name", {text: [title(ui.section), b.bay].filter(Boolean).join(" · ")}),
      b.brief ? h("p.now", {text: sentence(b.brief)}) : null, b.order && b.order !== b.brief ? h("p.long", {text: b.order}) : null,
      r.odd ? h("p.odd", {text: r.odd + " " + say("putRight")}) : null,
      r.bay ? null : r.text.map(t => h("p.now", {text: t})),
      r.changed.length ? h("ul.changed", {}, r.changed.map(c => h("li", {text: say("isNow", c.bay, c.mark, both(c))}))) : null),
      h("div.foot", {}, b.do ? button(say("done"), () => doOrder(b.bay), ".main") : null,
        b.kind === "close" && !b.closed ? button(say("close", b.bay), () => enter("closed", b.bay, {}), b.do ? "" : ".main") : null,
        button(say(r.full ? "oneMore" : "next", last), () => ask("fill", last), b.do || r.full || b.kind === "close" && !b.closed ? "" : ".main"),
        b.filled ? button(say("why"), why) : null, button(say("undo"), undo), button(say("bays"), () => show("bays")))];
  },
  why() { return [top(say("whyOf", ui.bay), () => show(ui.back || "bay")), ui.why.map(t => h("p", {text: t}))]; },
  name() {
    const input = h("input", {id: "name", autocomplete: "off", autocapitalize: "off"});
    return [top(say("whichBay"), () => show("bays")), h("label", {for: "name", text: say("itsName")}), input,
      h("div.foot", {}, button(say("fillIt"), () => input.value.trim() && ask("fill", input.value.trim()), ".main"), button(say("measureIt"), () => input.value.trim() && ask("size", input.value.trim())), button(say("leftEmpty"), () => input.value.trim() && ask("leave", input.value.trim())))];
  },
  more() {
    return [top(say("more"), () => show("sections")), h("div.actions", {}, [[say("empties"), "empties"], [say("starts"), "count"], [say("elsewhere"), "elsewhere"], [say("setting"), "set"]].map(([text, action]) => button(text, () => ask(action, ""), "", {disabled: store.reading})))];
  },
  crew() {
    const by = h("input", {id: "by", autocomplete: "off", value: ui.by}), machine = h("input", {id: "machine", autocomplete: "off", value: ui.machine, list: "machines"});
    return [top(say("whoTypes"), () => show("sections")), h("label", {for: "by", text: say("initials")}), by, h("label", {for: "machine", text: say("machine")}), machine,
      h("datalist", {id: "machines"}, (ui.state.machines || []).map(m => h("option", {value: m}))),
      h("div.foot", {}, button(say("keep"), async () => { ui.by = by.value.trim(); ui.machine = machine.value.trim(); note(); await look(); show("sections"); }, ".main"))];
  },
  share() { return share(); },
  failed() {
    return [top(say("notKept"), null), h("p", {text: ui.failure}), h("p", {text: say("notOnDisk")}),
      h("div.foot", {}, button(say("tryAgain"), () => again(), ".main"), button(say("shareLogged"), () => show("share")), button(say("goOn"), async () => { store.db = null; store.failed = say("keepsNoMore"); await again(); }), button(say("toForm"), () => show("form")))];
  },
};

const both = b => b.own ? b.word + "·\u200b" + b.own : b.word; // a verdict's word, with the crew's beside it; it may break between
const stands = b => b.closed ? say("closed", both(b)) : both(b);
const shows = (x, word) => x.says && x.choices.includes(word) ? x.says[x.choices.indexOf(word)] : word; // a word of the log as its key says it

const counts = x => h("span.counts", {}, x.counts.map(c => h("span.k-" + c.kind, {"aria-label": `${c.n} ${both(c)}`, role: "img"}, h("span.mark", {text: c.mark}), " " + c.n)));

// waiting lists rows that this phone keeps and that are not in the log: of another page of the job, or at odds with what is there now.
// Each is offered again.
function waiting() {
  const rows = store.earlier, refused = store.rows.filter((r, i, all) => r.refused && (!i || all[i - 1].entry !== r.entry));
  if (!rows.length && !refused.length) return null;
  const said = r => Object.entries(r.row).filter(([k, v]) => v && k !== "time").map(([k, v]) => k + " " + v).join(", ");
  if (refused.length) return h("section.waiting", {}, h("h2", {text: say("refused")}), h("ul", {}, refused.map(r => h("li", {}, h("p", {text: said(r)}), h("p", {text: r.refused.refused}), (r.refused.here || []).map(t => h("p.fine", {text: say("there", t)})), button(say("handOver"), () => offer(r), "", {disabled: store.reading}), button(say("leaveOut"), () => leaveOut(r), "", {disabled: store.reading})))));
  return h("section.waiting", {}, h("h2", {text: say("notInLog")}), h("p.fine", {text: say("keepsRows")}),
    h("ul", {}, rows.map(r => h("li", {}, h("p", {text: said(r) + (r.why ? ". " + r.why : "")}), button(say("add"), () => addAgain(r), "", {disabled: store.reading}), button(say("leaveOut"), () => leaveOut(r), "", {disabled: store.reading})))));
}

async function addAgain(r) {
  ui.moving = r;
  try { ui.reply = await call("again", {section: r.row.section || ui.section, said: r.row}); } finally { ui.moving = null; }
  if (ui.reply.wrote.length) store.earlier = store.earlier.filter(x => x !== r);
  else r.why = ui.reply.text.join(" ");
  await look();
}

async function leaveOut(r) {
  const rows = r.refused ? store.rows.filter(x => x.entry === r.entry) : [r];
  if (store.db) {
    const tx = strict("rows");
    for (const x of rows) tx.objectStore("rows").put({...x, moved: true});
    await done(tx);
  }
  store.earlier = store.earlier.filter(x => x !== r);
  if (r.refused) {
    store.rows = store.rows.filter(x => !rows.includes(x));
    if (store.db) { location.reload(); return; } // without it what stands below reads otherwise
  }
  render();
}

async function go(section) { ui.section = section; ui.state = await call("state"); show("bays"); }

function leaveSection() { show(!store.db && unshared() ? "share" : "sections"); }

// actions are what can be logged of a bay; which of them there are follows from how it stands.
function actions(b) {
  const list = [], form = (text, action, kind) => list.push([text, () => ask(action, b.bay), kind]);
  if (b.do) list.push([say("done"), () => doOrder(b.bay), ".main"]);
  if (b.kind === "close" && !b.closed) list.push([say("closeIt"), () => enter("closed", b.bay, {}), ".main"]);
  if (b.kind === "struck" || b.kind === "left") { form(say("fillIt"), "fill", ".main"); return list; }
  if (!b.filled) { form(say("fillIt"), "fill", b.do ? "" : ".main"); form(say("measureIt"), "size"); }
  else { form(say("looked"), "seen"); form(say("toppedUp"), "topup"); form(say("measured"), "size"); form(say("amended"), "amend"); form(say("recounted"), "recount"); form(say("cameOut"), "lost"); }
  if (b.filled && b.kind !== "close" && !b.closed) form(say("closeAsIs"), "closed");
  if (b.filled && b.kind !== "close") form(say("decide"), "decided");
  form(say("withdraw"), "strike");
  if (!b.filled) form(say("leftEmpty"), "leave");
  return list;
}

async function why() {
  ui.back = ui.screen;
  ui.bay = ui.reply && ui.screen === "verdict" && ui.reply.bay ? ui.reply.bay.bay : ui.bay;
  ui.why = await call("why", {bay: ui.bay});
  show("why");
}

// ---- Forms and keys -------------------------------------------------------------------------------------------------
async function ask(action, bay) { open(await call("form", {action, bay})); }
async function doOrder(bay) { open(await call("form", {bay, order: true})); }

function open(f) {
  ui.form = f; ui.values = {}; ui.more = false; ui.running = 0;
  for (const x of f.fields) if (x.value) ui.values[x.column] = x.value;
  ui.back = ui.screen === "form" ? ui.back : ui.screen;
  ui.active = f.fields.findIndex(x => shown(x) && !ui.values[x.column] && !x.ditto && x.column !== "shape");
  if (ui.active < 0) ui.active = f.fields.findIndex(shown);
  note();
  show("form");
}

const shown = x => (ui.more || !x.more || !!ui.values[x.column]) && (!x.for || (ui.values.probe || "").startsWith(x.for));
const unit = x => x.unit ? " " + x.unit : "";

function set(x, text) { ui.values[x.column] = text; note(); render(); }

function form() {
  const f = ui.form, at = f.fields[ui.active];
  const rows = f.fields.map((x, i) => {
    if (!shown(x)) return null;
    const v = ui.values[x.column];
    const value = v ? h("span.value", {text: shows(x, v) + (/[a-z'"]/i.test(v) || x.keys === "words" || x.keys === "choice" ? "" : unit(x))})
      : x.ditto ? h("span.ditto", {text: say("ditto", shows(x, x.ditto), x.from)}) : h("span.none", {text: x.hint || (x.must ? say("needed") : "–")});
    return h("li", {}, button([h("span.label", {text: x.label}), value], () => { ui.active = i; note(); render(); }, ".field" + (i === ui.active ? ".on" : ""), {"aria-pressed": String(i === ui.active)}));
  });
  const hidden = f.fields.some(x => !shown(x) && !x.for);
  const save = f.stalls
    ? h("div.stall", {role: "group", "aria-label": say("stalled")}, h("span.label", {text: say("stalled")}), button(say("yes"), () => send("yes"), ".main"), button(say("no"), () => send("no"), ".main"), button(say("dontKnow"), () => send("?"), ".main"))
    : h("div.stall.one", {}, button(say("logIt"), () => send(""), ".main"));
  return [top(f.title, () => drop()), f.order ? h("p.order", {text: sentence(f.order)}) : null, ui.said ? h("p.refusal", {role: "alert", text: ui.said}) : null,
    h("ul.fields", {}, rows, hidden ? h("li", {}, button(say("moreFields"), () => { ui.more = true; note(); render(); }, ".field.more")) : null), h("div.pad", {}, at ? keys(at) : null, save)];
}

function drop() { ui.form = null; ui.said = ""; note(); show(ui.back && ui.back !== "form" && ui.back !== "verdict" ? ui.back : "bays"); }

// keys are those of the field that is answered. A fraction takes the place of the one that stands there.
function keys(x) {
  const v = ui.values[x.column] || "";
  const put = text => set(x, (v + text).trimStart());
  const key = (text, means, run, kind = "") => button(text, run, ".key" + kind, means ? {"aria-label": means} : {});
  const digit = d => key(d, "", () => put(d));
  const part = p => key(p, "", () => set(x, (v.replace(/ ?\d+\/\d+$/, "") + (/[;+'-]\s*$/.test(v) || !v ? "" : " ") + p).trim()), ".part");
  const gone = key("⌫", say("delete"), () => set(x, v.replace(/( ?\d+\/\d+|\s?\S)$/, "").trimEnd()), ".edit");
  const next = key(say("nextKey"), say("nextFigure"), () => { advance(); }, ".edit.last");
  const numbers = "123456789".split("").map(digit), parts = (x.parts || []).map(part);
  const point = key(".", say("point"), () => put(".")), more = key(";", say("another"), () => put("; ")), foot = key("'", say("feet"), () => put("' "));
  const same = x.ditto ? key("″", say("same"), () => { set(x, ""); advance(); }) : null;
  const weighed = (sign, means) => key(`${sign === "-" ? "−" : "+"} ${x.mass}`, means, () => set(x, v.replace(/ ?[+-] .*$/, "") + ` ${sign} `), ".small");
  const pad = (dot, ...others) => h("div.keys", {}, h("div.digits", {}, numbers, dot || h("span"), digit("0"), gone), h("div.others", {}, parts, others, next));
  switch (x.keys) {
    case "choice": return h("div.keys.words", {}, x.choices.map(c => key(shows(x, c), "", () => { set(x, v === c ? "" : c); if (v !== c) advance(); }, v === c ? ".on" : "")));
    case "time": return timer(x, v);
    case "photo": return camera(x, v);
    case "words": return words(x, v);
    case "stop": return pad(x.unit === "ft" ? foot : point, more, x.choices.map(c => key(shows(x, c), c === "?" ? say("nobodyKnow") : shows(x, c), () => put(" " + c), ".small")));
    case "feet": return pad(x.unit === "ft" ? foot : point, x.unit === "ft" ? point : null, more, same);
    case "bags": return pad(point, weighed("+", say("plus")), weighed("-", say("less")), key(say("shared"), say("shares"), () => set(x, "shared"), ".small.last"));
    case "tape": return pad(point, more, same);
  }
  return pad(point);
}

function advance() {
  const f = ui.form.fields;
  for (let i = 1; i <= f.length; i++) {
    const n = (ui.active + i) % f.length;
    if (shown(f[n]) && f[n].column !== "shape") { ui.active = n; break; }
  }
  note();
  render();
}

// timer runs while material goes in; each burst is one more figure.
function timer(x, v) {
  const clock = s => Math.floor(s / 60) + ":" + String(s % 60).padStart(2, "0");
  const ran = () => Math.max(0, Math.round((Date.now() - ui.running) / 1000));
  const face = h("span.clock", {role: "timer", text: ui.running ? clock(ran()) : v || "0:00"});
  clearInterval(timer.tick);
  if (ui.running) timer.tick = setInterval(() => { face.textContent = clock(ran()); }, 500);
  return h("div.keys.time", {}, face, ui.running
    ? button(say("stop"), () => { const s = ran(); ui.running = 0; clearInterval(timer.tick); set(x, s ? (v ? v + "; " : "") + clock(s) : v); }, ".main.stop")
    : button(say(v ? "startAgain" : "start"), () => { ui.running = Date.now(); note(); render(); }, ".main"),
    button(say("clear"), () => { ui.running = 0; clearInterval(timer.tick); set(x, ""); }));
}

function words(x, v) {
  const input = h("input", {"aria-label": x.label, value: v, autocomplete: "off"});
  input.oninput = () => { ui.values[x.column] = input.value; note(); };
  return h("div.keys.words", {}, input, (x.choices || []).map(c => button(shows(x, c), () => set(x, c), ".key")));
}

// camera takes a photo, keeps it by the bay's name and number, and puts the name into the row.
function camera(x, v) {
  const input = h("input", {type: "file", accept: "image/*", capture: "environment", id: "camera"});
  input.onchange = guarded(async () => {
    const taken = input.files[0];
    if (!taken) return;
    const name = await call("photo", {bay: ui.form.bay});
    await keepPhoto(name, taken);
    await call("photo", {bay: ui.form.bay, name});
    set(x, v ? v + "; " + name : name);
  });
  return h("div.keys.words", {}, h("label.camera", {for: "camera"}, say("photo"), input), v ? h("p.fine", {text: v}) : null, v ? button(say("noPhoto"), () => set(x, ""), ".key") : null);
}

async function keepPhoto(name, blob) {
  if (!store.db) { store.photos.set(name, blob); return; }
  const tx = strict("photos");
  tx.objectStore("photos").add({job: job.digest, name, blob});
  await done(tx);
  store.photos.set(name, null);
}

// send hands the answers to the checker. The verdict is shown once the row is on disk.
async function send(stall) {
  const said = {...ui.values};
  if (stall) said.stall = stall;
  if (ui.running) { said.feed = (said.feed ? said.feed + "; " : "") + Math.max(1, Math.round((Date.now() - ui.running) / 1000)) + " s"; }
  for (const x of ui.form.fields) if (x.keys === "bags" && / [+-] /.test(said[x.column] || "") && !/[a-z]/.test(said[x.column])) said[x.column] += " " + x.mass;
  await enter(ui.form.action, ui.form.bay, said);
}

async function enter(action, bay, said) {
  ui.failure = "";
  ui.last = [action, bay, said];
  const r = await call("enter", {action, bay, said});
  if (ui.failure) { show("failed"); return; }
  if (!r.wrote.length) { ui.said = r.text.join(" "); ui.form ? show("form") : show(ui.screen); return; }
  ui.reply = r; ui.state = r; ui.form = null; ui.said = ""; ui.running = 0; ui.bay = r.bay ? r.bay.bay : "";
  clearInterval(timer.tick);
  show("verdict");
  document.documentElement.dataset.verdict = Math.round(performance.now() - lastTap); // from the tap, in ms
  settleSoon();
}
const again = () => enter(...ui.last);

async function undo() {
  const r = await call("enter", {action: "undo"});
  ui.state = r;
  ui.said = r.wrote.length ? "" : r.text.join(" ");
  show("bays");
  settleSoon();
}

// What bays were closed on, and other sections' orders, are found while nobody taps: in a large job that takes longer than a verdict may,
// and waits the longer for it.
let lastTap = 0, settling = 0, took = 0;
function settleSoon(wait = Math.max(1500, 8 * took)) {
  clearTimeout(settling);
  settling = setTimeout(async () => {
    if (ui.busy || performance.now() - lastTap < wait) return settleSoon();
    ui.busy = true;
    try {
      const from = performance.now();
      ui.state = await call("settle");
      took = performance.now() - from;
      if (ui.screen === "bays" || ui.screen === "sections") render();
      document.documentElement.dataset.settled = store.next;
    } finally { ui.busy = false; }
  }, wait);
}

// ---- Sharing --------------------------------------------------------------------------------------------------------
function share() {
  const list = h("div.actions", {}), photos = [...store.photos.keys()];
  const log = async () => new File([Uint8Array.from(atob(await call("share")), c => c.charCodeAt(0))], "bays.csv", {type: "text/csv"});
  const photo = async name => new File([store.photos.get(name) || (await got(store.db.transaction("photos").objectStore("photos").get([job.digest, name]))).blob], name, {type: "image/jpeg"});
  const gave = () => { store.shared = store.next; note(); };
  const down = async file => {
    const a = h("a", {href: URL.createObjectURL(file), download: file.name});
    document.body.append(a); a.click(); a.remove();
    setTimeout(() => URL.revokeObjectURL(a.href), 60000);
  };
  let sheet = false;
  try { sheet = !!navigator.canShare && navigator.canShare({files: [new File(["x"], "bays.csv", {type: "text/csv"})]}); } catch (e) { /* none */ }
  if (sheet) list.append(button(say(photos.length ? "sharePhoto" : "shareLog"), async () => {
    const files = [await log(), ...await Promise.all(photos.map(photo))];
    try { await navigator.share({files, title: ui.state.job}); gave(); render(); } catch (e) { if (e.name !== "AbortError") { ui.said = String(e.message || e); render(); } }
  }, ".main"));
  list.append(button(say("download", "bays.csv"), async () => { await down(await log()); gave(); render(); }, sheet ? "" : ".main"));
  photos.forEach(name => list.append(button(say("download", name), async () => down(await photo(name)))));
  return [top(say("share"), () => show("sections")), h("p", {text: unshared() ? say("hereOnly", unshared(), store.rows.length) : say("handedOver", store.rows.length)}), list,
    config.path ? h("p.fine", {text: say("takesRows")}) : h("p.fine", {text: say("atTruck", job.name)})];
}

// ---- A server on the truck ------------------------------------------------------------------------------------------
// connect hands the rows that it has not got yet to the server that the page came from, entry by entry in their order, and tries again
// while it is out of reach. A page from a file has none. What goes: {rows: [{id, row, after}]}. What comes: {taken: true}, or {refused: why,
// here: [what stands there, in words], after: the digest that holds there now, time: one that is later than what stands there}: then both
// are shown, and the entry is offered again.
async function connect() {
  if (!config.path || store.reading || connect.runs) return;
  connect.runs = true;
  clearTimeout(connect.later);
  try {
    for (let next; (next = store.rows.find(r => !r.sent && !r.known && !r.refused));) {
      const entry = store.rows.filter(r => r.entry === next.entry);
      const answer = await fetch(config.path, {method: "POST", headers: {"Content-Type": "application/json"}, cache: "no-store", credentials: "omit",
        body: JSON.stringify({rows: entry.map(({id, row, after}) => ({id, row, after}))})});
      if (!answer.ok && answer.status !== 400 && answer.status !== 413) throw new Error(String(answer.status));
      const said = answer.ok ? await answer.json() : {refused: say("cannotRead"), after: next.after}; // the rows behind it go on
      for (const r of entry) said.taken ? r.sent = true : r.refused = said;
      await update(entry);
    }
    connect.out = "";
  } catch (e) {
    connect.out = e.message || "?";
    connect.later = setTimeout(connect, 5000);
  } finally { connect.runs = false; }
  if (!ui.busy && (ui.screen === "sections" || ui.screen === "bays")) render();
}

// update keeps what became of an entry's rows.
async function update(entry) {
  if (!store.db) return;
  const tx = strict("rows");
  for (const r of entry) tx.objectStore("rows").put(r);
  await done(tx);
}

// offer hands a refused entry over again, under what stands there now: its dittos then mean that bay. Those that were typed behind it are
// tried again too, each behind the one before it.
async function offer(r) {
  const entry = store.rows.filter(x => x.entry === r.entry), {after, time} = r.refused;
  entry[0].after = after;
  if (time) for (const x of entry) x.row = {...x.row, time};
  const again = store.rows.filter(x => x.refused && x.entry >= r.entry);
  for (const x of again) delete x.refused;
  await update(again);
  await connect();
  render();
}

// ---- Opening --------------------------------------------------------------------------------------------------------
async function begin() {
  if (!window.WebAssembly || !window.DecompressionStream || !WebAssembly.compileStreaming) {
    $("starting").textContent = say("tooOld");
    return;
  }
  compiled = compile();
  compiled.catch(() => {}); // startChecker says it
  await openStore();
  await hold();
  await startChecker();
  ui.section = "";
  ui.state = await call("state", {section: store.rows.length ? store.rows[store.rows.length - 1].row.section || "" : job.section || ""});
  ui.section = ui.state.section;
  if (ui.draft && !store.reading) {
    const d = ui.draft;
    ui.section = d.form.section;
    ui.state = await call("state");
    Object.assign(ui, {form: d.form, values: d.values, active: d.active, more: d.more, running: d.running || 0, back: "bays"});
    show("form");
  } else show(ui.state.sections.length > 1 ? "sections" : "bays");
  document.documentElement.dataset.ready = Math.round(performance.now());
  if (config.site && navigator.serviceWorker) navigator.serviceWorker.register("worker.js").catch(() => {});
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
  connect();
  settleSoon(300); // the orders
}
window.bayproof = {call, store, config, get busy() { return ui.busy; }, get memory() { return checker.mem.buffer.byteLength; }};
begin().catch(broken);
})();
