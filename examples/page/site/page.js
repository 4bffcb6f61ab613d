"use strict";
// The page: it takes files, hands them to an engine, and lays out the answer. Texts of files go
// into the page as text only. Engines are scripts of their own, loaded when they are needed, so
// that the page works from a folder, where a browser fetches nothing.
(() => {
  const byId = (id) => document.getElementById(id);
  const status = byId("status"), article = byId("answer"), drop = byId("drop");
  const most = 64 << 20; // bytes of all files together, as the library reads
  const engines = {};

  const element = (name, text, attributes) => {
    const e = document.createElement(name);
    if (text !== undefined) e.textContent = text;
    for (const [k, v] of Object.entries(attributes || {})) e.setAttribute(k, v);
    return e;
  };

  // engine loads an engine once: its script holds the gzipped code as text.
  const engine = (name) => engines[name] ||= (async () => {
    await new Promise((done, failed) => {
      const s = element("script", undefined, { src: name + ".js" });
      s.onload = done;
      s.onerror = () => failed(new Error(name + ".js is missing beside this page"));
      document.head.append(s);
    });
    const packed = Uint8Array.from(atob(window["engine_" + name]), (c) => c.charCodeAt(0));
    window["engine_" + name] = undefined;
    const code = await new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
    const go = new Go();
    const made = await WebAssembly.instantiate(code, go.importObject);
    go.run(made.instance); // it stays, and has set its function when this returns
    return window["actinic_" + name];
  })();

  const isTest = (files) => Object.keys(files).some((n) => /(^|\/)(test|datapackage)\.json$/.test(n));

  const answer = async (files) => {
    const names = Object.keys(files);
    if (!names.length) return;
    article.replaceChildren();
    const name = isTest(files) ? "rolls" : "tables";
    try {
      status.textContent = "Loading the engine …";
      const run = await engine(name);
      status.textContent = "Working on " + (names.length === 1 ? names[0] : names.length + " files") + " …";
      await new Promise((next) => setTimeout(next, 20)); // so that the line above is seen
      const started = performance.now();
      const a = JSON.parse(run(files));
      lay(a);
      status.textContent = a.errors ? "No answer: see below." : "Done in " + ((performance.now() - started) / 1000).toFixed(1) + " s.";
      article.focus({ preventScroll: true });
    } catch (err) {
      engines[name] = undefined; // a program that stopped does not answer again
      status.textContent = "It failed: " + err.message;
    }
  };

  const lay = (a) => {
    const parts = [element("h2", a.title)];
    for (const s of a.under || []) parts.push(element("p", s, { class: "under" }));
    for (const s of a.errors || []) parts.push(element("p", s, { class: "finding" }));
    if (a.box) {
      const t = element("table", undefined, { class: "box" }), body = element("tbody");
      t.append(element("caption", "The answer"));
      for (const l of a.box) {
        const row = element("tr");
        row.append(element("th", l.name, { scope: "row" }), element("td", l.text));
        body.append(row);
      }
      t.append(body);
      parts.push(t);
    }
    for (const s of a.sections || []) {
      const part = element("section");
      part.append(element("h3", s.heading));
      for (const x of s.texts || []) part.append(element("p", x));
      for (const x of s.findings || []) part.append(element("p", x, { class: "finding" }));
      for (const x of s.tables || []) part.append(table(x));
      for (const x of s.figures || []) part.append(figure(x));
      parts.push(part);
    }
    for (const s of a.cautions || []) parts.push(element("p", s, { class: "caution" }));
    for (const f of a.files || []) {
      const link = element("a", "Keep " + f.name, { download: f.name, href: URL.createObjectURL(new Blob([f.text])) });
      const p = element("p");
      p.append(link);
      parts.push(p);
    }
    article.replaceChildren(...parts);
  };

  const table = (t) => {
    const e = element("table"), head = element("thead"), body = element("tbody"), row = element("tr");
    e.append(element("caption", t.caption));
    for (const h of t.head) row.append(element("th", h, { scope: "col" }));
    head.append(row);
    for (const cells of t.rows || []) {
      const r = element("tr");
      cells.forEach((c, i) => r.append(i ? element("td", c) : element("th", c, { scope: "row" })));
      body.append(r);
    }
    e.append(head, body);
    const around = element("div", undefined, { class: "scroll", tabindex: "0", role: "region", "aria-label": t.caption });
    around.append(e);
    return around;
  };

  // marks are round numbers between two.
  const marks = (low, high) => {
    let step = Math.pow(10, Math.floor(Math.log10((high - low) / 4)));
    for (const f of [5, 2]) if ((high - low) / (step * f) >= 4) { step *= f; break; }
    const out = [], digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
    for (let k = Math.ceil(low / step); k * step <= high + 1e-9 * step; k++) out.push([k * step, (k * step).toFixed(digits).replace("-", "−").replace(/^−(0\.?0*)$/, "$1")]);
    return out;
  };

  const figure = (f) => {
    const svgns = "http://www.w3.org/2000/svg", w = 720, h = 460, left = 55, right = 40, top = 15, bottom = 45;
    const all = [...(f.marks || []), ...f.curves.flatMap((c) => c.points)];
    const xs = all.map((p) => p[0]), ys = all.map((p) => p[1]);
    const x0 = Math.min(...xs), x1 = Math.max(...xs), y0 = Math.min(0, ...ys), y1 = Math.max(...ys) * 1.04 || 1;
    const px = (x) => left + (x - x0) / (x1 - x0 || 1) * (w - left - right), py = (y) => h - bottom - (y - y0) / (y1 - y0 || 1) * (h - top - bottom);
    const svg = document.createElementNS(svgns, "svg");
    const add = (name, attributes, text) => {
      const e = document.createElementNS(svgns, name);
      for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
      if (text !== undefined) e.textContent = text;
      svg.append(e);
    };
    const path = (points) => points.map((p, i) => (i ? "L" : "M") + px(p[0]).toFixed(1) + " " + py(Math.min(Math.max(p[1], y0), y1)).toFixed(1)).join("");
    svg.setAttribute("viewBox", `0 0 ${w} ${h}`);
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", f.alt);
    for (const c of f.curves) if (c.low) add("path", { d: path(c.low) + path([...c.high].reverse()).replace("M", "L") + "Z", fill: "#ddd" });
    for (const [v, text] of marks(x0, x1)) { add("line", { x1: px(v), x2: px(v), y1: h - bottom, y2: h - bottom + 5, stroke: "#111" }); add("text", { x: px(v), y: h - bottom + 18, "text-anchor": "middle" }, text); }
    for (const [v, text] of marks(y0, y1)) { add("line", { x1: left - 5, x2: left, y1: py(v), y2: py(v), stroke: "#111" }); add("text", { x: left - 8, y: py(v) + 4, "text-anchor": "end" }, text); }
    add("path", { d: `M${left} ${top}V${h - bottom}H${w - right}`, fill: "none", stroke: "#111" });
    add("text", { x: (left + w - right) / 2, y: h - 8, "text-anchor": "middle" }, f.x);
    add("text", { x: 14, y: (top + h - bottom) / 2, "text-anchor": "middle", transform: `rotate(-90 14 ${(top + h - bottom) / 2})` }, f.y);
    for (const c of f.curves) add("path", { d: path(c.points), fill: "none", stroke: "#111", "stroke-width": 1.3, ...(c.dashed ? { "stroke-dasharray": "6 3" } : {}) });
    for (const p of f.marks || []) add("path", { d: `M${px(p[0]) - 3} ${py(p[1]) - 3}l6 6m0 -6l-6 6`, stroke: "#555", fill: "none" });
    // Names at the ends of the curves, none on another.
    const taken = [];
    for (const c of [...f.curves].filter((c) => c.name).sort((a, b) => b.points.at(-1)[1] - a.points.at(-1)[1])) {
      const end = c.points.at(-1), x = px(end[0]) + 6;
      let y = py(end[1]) + 4;
      while (taken.some((t) => Math.abs(t[0] - x) < 20 && Math.abs(t[1] - y) < 12)) y += 6;
      taken.push([x, y]);
      add("text", { x, y }, c.name);
    }
    const e = element("figure");
    e.append(svg, element("figcaption", f.caption));
    return e;
  };

  // read takes the bytes of files by name, all of them or none.
  const read = async (list) => {
    let size = 0;
    for (const [, f] of list) size += f.size;
    if (size > most) {
      status.textContent = "These files are " + (size / 1048576).toFixed(0) + " MB; this page takes up to 64 MB at once.";
      return;
    }
    const files = {};
    for (const [name, f] of list) files[name] = new Uint8Array(await f.arrayBuffer());
    await answer(files);
  };

  // walk lists the files of what was dropped, folders opened.
  const walk = async (entry, list) => {
    if (entry.isFile) {
      list.push([entry.fullPath.replace(/^\//, ""), await new Promise((done, failed) => entry.file(done, failed))]);
      return;
    }
    const reader = entry.createReader();
    for (;;) {
      const some = await new Promise((done, failed) => reader.readEntries(done, failed));
      if (!some.length || list.length > 2000) return;
      for (const e of some) await walk(e, list);
    }
  };

  const dropped = async (transfer) => {
    const entries = [...(transfer.items || [])].map((i) => i.webkitGetAsEntry && i.webkitGetAsEntry()).filter(Boolean);
    const list = [];
    const plain = [...transfer.files];
    for (const e of entries) await walk(e, list);
    await read(list.length ? list : plain.map((f) => [f.name, f]));
  };
  const said = (promise) => promise.catch((err) => { status.textContent = "It failed: " + err.message; });

  for (const kind of ["dragenter", "dragover"]) document.addEventListener(kind, (e) => { e.preventDefault(); drop.classList.add("over"); });
  for (const kind of ["dragleave", "drop"]) document.addEventListener(kind, () => drop.classList.remove("over"));
  document.addEventListener("drop", (e) => { e.preventDefault(); said(dropped(e.dataTransfer)); });
  byId("files").addEventListener("change", (e) => said(read([...e.target.files].map((f) => [f.name, f]))));
  byId("folder").addEventListener("change", (e) => said(read([...e.target.files].map((f) => [f.webkitRelativePath, f]))));
  const show = () => {
    const files = {};
    for (const [name, text] of Object.entries(sample)) files[name] = new TextEncoder().encode(text);
    said(answer(files));
  };
  byId("sample").addEventListener("click", show);
  if (location.hash === "#sample") show();
  byId("about").textContent = about;
})();
