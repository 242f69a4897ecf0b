"use strict";
// Fig. 1: the piece in WebGL2, drawn as on paper: washes, then ink where pieces,
// distances or directions change. Nothing is fetched; the meshes stand in the page.
(function () {
  const $ = (id) => document.getElementById(id);
  const data = $("fig1-data"), canvas = $("fig1-canvas");
  if (!data || !canvas || !window.DecompressionStream) return;
  const gl = canvas.getContext("webgl2", { antialias: false, alpha: false, preserveDrawingBuffer: true });
  if (!gl) return;
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  const start = { turn: -62, rise: 14 };
  const view = { turn: start.turn, rise: start.rise, zoom: 1, mid: [0, 0, 0], half: 1, pan: [0, 0], apart: 0, layer: 0, deviation: false, picked: 0, hover: 0 };
  let head, layers, moves, busy = false, moving = false, settle = 0;

  // --- the meshes
  async function unpack() {
    const packed = Uint8Array.from(atob(data.textContent.trim()), (c) => c.charCodeAt(0));
    const raw = await new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate-raw"))).arrayBuffer();
    const n = new DataView(raw).getUint32(0, true), bytes = new Uint8Array(raw);
    head = JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + n)));
    let at = 4 + n;
    const number = () => {
      let x = 0, shift = 0, b;
      do { b = bytes[at++]; x |= (b & 127) << shift; shift += 7; } while (b > 127);
      return x >>> 0;
    };
    layers = head.layers.map((l) => {
      const count = l.runs.reduce((s, r) => s + r[1], 0);
      const corner = new Uint32Array(3 * count), point = new Float32Array(3 * l.points), piece = new Uint16Array(count);
      for (let i = 0, met = 0; i !== corner.length; i++) {
        const back = number();
        corner[i] = met - back;
        if (back === 0) met++;
      }
      const q = [0, 0, 0];
      for (let i = 0; i !== point.length; i++) {
        const z = number();
        q[i % 3] += (z >>> 1) ^ -(z & 1);
        point[i] = head.lo[i % 3] + head.step * q[i % 3];
      }
      let t = 0;
      for (const r of l.runs) { piece.fill(r[0], t, t + r[1]); t += r[1]; }
      let off = null;
      if (l.deviation) { off = new Int8Array(raw.slice(at, at + l.points)); at += l.points; }
      return { name: l.name, corner, point, piece, off, count, vao: null };
    });
    moves = new Float32Array(4 * 1024 * Math.ceil((head.ids.length + 1) / 1024));
    head.moves.forEach((m, i) => moves.set(m, 4 * (i + 1)));
  }

  // normals at each corner: the mean over facets round the point that are of the
  // same piece and turn by less than 40 degrees, so that edges stay sharp.
  function normals(l) {
    const facet = new Float32Array(3 * l.count), size = new Float32Array(l.count), P = l.point, C = l.corner;
    const first = new Uint32Array(P.length / 3 + 1), round = new Uint32Array(C.length), out = new Float32Array(3 * C.length);
    for (let t = 0; t !== l.count; t++) {
      const a = 3 * C[3 * t], b = 3 * C[3 * t + 1], c = 3 * C[3 * t + 2];
      const ux = P[b] - P[a], uy = P[b + 1] - P[a + 1], uz = P[b + 2] - P[a + 2], vx = P[c] - P[a], vy = P[c + 1] - P[a + 1], vz = P[c + 2] - P[a + 2];
      const x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx, s = Math.hypot(x, y, z) || 1;
      facet.set([x / s, y / s, z / s], 3 * t);
      size[t] = s;
    }
    for (const c of C) first[c + 1]++;
    for (let i = 1; i !== first.length; i++) first[i] += first[i - 1];
    const fill = first.slice();
    C.forEach((c, i) => { round[fill[c]++] = (i / 3) | 0; });
    for (let i = 0; i !== C.length; i++) {
      const t = (i / 3) | 0, nx = facet[3 * t], ny = facet[3 * t + 1], nz = facet[3 * t + 2];
      let x = 0, y = 0, z = 0;
      for (let k = first[C[i]]; k !== first[C[i] + 1]; k++) {
        const f = round[k], fx = facet[3 * f], fy = facet[3 * f + 1], fz = facet[3 * f + 2];
        if (l.piece[f] === l.piece[t] && fx * nx + fy * ny + fz * nz > 0.766) { x += size[f] * fx; y += size[f] * fy; z += size[f] * fz; }
      }
      const s = Math.hypot(x, y, z) || 1;
      out.set([x / s, y / s, z / s], 3 * i);
    }
    return out;
  }

  // --- drawing
  const body = `#version 300 es
    precision highp float; precision highp sampler2D;
    layout(location=0) in vec3 p; layout(location=1) in vec3 n; layout(location=2) in vec2 what;
    uniform vec3 right, up, toward, mid; uniform vec4 fit; uniform float apart, deep; uniform sampler2D moves;
    flat out float piece; out vec3 normal; out float off; flat out float none;
    void main() {
      int i = int(what.x);
      vec3 q = p + apart * texelFetch(moves, ivec2(i % 1024, i / 1024), 0).xyz - mid;
      gl_Position = vec4(dot(q, right) * fit.x + fit.z, dot(q, up) * fit.y + fit.w, -dot(q, toward) / deep, 1);
      normal = vec3(dot(n, right), dot(n, up), dot(n, toward));
      piece = what.x; off = what.y; none = what.y < -1.001 ? 1. : 0.;
    }`;
  const wash = `#version 300 es
    precision highp float;
    flat in float piece; in vec3 normal; in float off; flat in float none;
    uniform float picked; uniform bool deviation; uniform vec3 washes[9]; uniform vec3 steps[11];
    layout(location=0) out vec4 colour; layout(location=1) out vec4 key;
    vec3 scale(float t) {
      float x = (clamp(t, -1., 1.) + 1.) * 5.; int i = min(int(x), 9);
      return mix(steps[i], steps[i + 1], x - float(i));
    }
    void main() {
      vec3 n = normalize(normal) * (gl_FrontFacing ? 1. : -1.);
      float light = .5 + .5 * dot(n, normalize(vec3(-.45, .6, .75)));
      int w = piece < .5 ? 0 : 1 + int(mod(piece - 1., 8.));
      vec3 c = washes[w];
      bool other = picked > .5 && abs(piece - picked) > .5;
      if (deviation) c = none > .5 || off < -1.001 ? vec3(.69, .675, .643) : scale(off);
      else if (picked > .5) c = other ? vec3(.91, .885, .85) : vec3(.78, .40, .22);
      if (deviation && other) c = mix(c, vec3(.94, .925, .89), .75);
      c *= mix(deviation ? .80 : .66, 1.04, light);
      if (!gl_FrontFacing) c *= .86;
      colour = vec4(c, 1);
      key = vec4(mod(piece, 256.) / 255., floor(piece / 256.) / 255., n.xy * .5 + .5);
    }`;
  const sheet = `#version 300 es
    void main() { gl_Position = vec4(vec2(gl_VertexID % 2, gl_VertexID / 2) * 4. - 1., 0, 1); }`;
  const ink = `#version 300 es
    precision highp float; precision highp sampler2D;
    uniform sampler2D colour, key, depth; uniform int fine; uniform float picked;
    out vec4 result;
    float far(ivec2 a) { return texelFetch(depth, a, 0).x; }
    vec4 of(ivec2 a) { return texelFetch(key, a, 0); }
    float number(vec4 k) { return floor(k.x * 255. + .5) + 256. * floor(k.y * 255. + .5); }
    vec3 one(ivec2 a, ivec2 most) {
      vec3 c = texelFetch(colour, a, 0).rgb;
      float d = far(a), line = 0.; vec4 k = of(a); bool mark = false;
      for (int i = 0; i != 2; i++) {
        ivec2 e = i == 0 ? ivec2(1, 0) : ivec2(0, 1), l = clamp(a - e, ivec2(0), most), r = clamp(a + e, ivec2(0), most);
        float dl = far(l), dr = far(r); vec4 kl = of(l), kr = of(r);
        if (d > .9999 && dl > .9999 && dr > .9999) continue;
        if (k.xy != kl.xy || k.xy != kr.xy) { line = 1.; mark = mark || number(k) == picked || number(kl) == picked || number(kr) == picked; }
        if (abs(dl + dr - 2. * d) > .004 || (d > .9999) != (dl > .9999) || (d > .9999) != (dr > .9999)) line = max(line, .9);
        vec2 turn = max(abs(kl.zw - k.zw), abs(kr.zw - k.zw));
        line = max(line, smoothstep(.16, .34, max(turn.x, turn.y)) * .6);
      }
      return mix(c, mark && picked > .5 ? vec3(.60, .22, .08) : vec3(.15, .14, .12), line);
    }
    void main() {
      ivec2 at = ivec2(gl_FragCoord.xy) * fine, most = textureSize(colour, 0) - 1;
      vec3 sum = vec3(0);
      for (int y = 0; y != fine; y++) for (int x = 0; x != fine; x++) sum += one(at + ivec2(x, y), most);
      result = vec4(sum / float(fine * fine), 1);
    }`;
  function program(vertex, fragment) {
    const p = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const s = gl.createShader(kind);
      gl.shaderSource(s, text);
      gl.compileShader(s);
      if (!gl.getShaderParameter(s, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(s));
      gl.attachShader(p, s);
    }
    gl.linkProgram(p);
    if (!gl.getProgramParameter(p, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(p));
    const at = {};
    for (let i = 0; i !== gl.getProgramParameter(p, gl.ACTIVE_UNIFORMS); i++) {
      const n = gl.getActiveUniform(p, i).name;
      at[n.replace("[0]", "")] = gl.getUniformLocation(p, n);
    }
    return { p, at };
  }
  function texture(unit, kind, format, type, w, h, pixels) {
    const t = gl.createTexture();
    gl.activeTexture(gl.TEXTURE0 + unit);
    gl.bindTexture(gl.TEXTURE_2D, t);
    gl.texImage2D(gl.TEXTURE_2D, 0, kind, w, h, 0, format, type, pixels);
    for (const k of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, k, gl.NEAREST);
    return t;
  }
  let solid, inked, target = null, plain = null;
  const washes = [214, 205, 187, 176, 195, 205, 222, 191, 148, 178, 198, 172, 212, 168, 150, 198, 190, 210, 226, 212, 160, 158, 184, 182, 205, 184, 178].map((x) => x / 255);

  function prepare() {
    solid = program(body, wash);
    inked = program(sheet, ink);
    texture(0, gl.RGBA32F, gl.RGBA, gl.FLOAT, 1024, moves.length / 4096, moves);
    plain = gl.createVertexArray();
  }
  // corners of all triangles, one after the other: 3 floats, 3 normals in bytes
  // and a filler, piece and deviation as floats.
  function load(l) {
    if (l.vao) return;
    const n = normals(l), buffer = new ArrayBuffer(24 * l.corner.length), f = new Float32Array(buffer), b = new Int8Array(buffer);
    for (let i = 0; i !== l.corner.length; i++) {
      const c = l.corner[i];
      f.set([l.point[3 * c], l.point[3 * c + 1], l.point[3 * c + 2]], 6 * i);
      b.set([127 * n[3 * i], 127 * n[3 * i + 1], 127 * n[3 * i + 2]], 24 * i + 12);
      f[6 * i + 4] = l.piece[(i / 3) | 0];
      f[6 * i + 5] = l.off ? l.off[c] / 127 : 0;
    }
    l.vao = gl.createVertexArray();
    gl.bindVertexArray(l.vao);
    gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
    gl.bufferData(gl.ARRAY_BUFFER, buffer, gl.STATIC_DRAW);
    [[0, 3, gl.FLOAT, false, 0], [1, 3, gl.BYTE, true, 12], [2, 2, gl.FLOAT, false, 16]].forEach(([k, size, type, norm, at]) => {
      gl.enableVertexAttribArray(k);
      gl.vertexAttribPointer(k, size, type, norm, 24, at);
    });
  }
  function resize(w, h) {
    if (target && target.w === w && target.h === h) return;
    if (target) { target.t.forEach((t) => gl.deleteTexture(t)); gl.deleteFramebuffer(target.f); }
    const t = [texture(1, gl.RGBA8, gl.RGBA, gl.UNSIGNED_BYTE, w, h, null), texture(2, gl.RGBA8, gl.RGBA, gl.UNSIGNED_BYTE, w, h, null),
      texture(3, gl.DEPTH_COMPONENT24, gl.DEPTH_COMPONENT, gl.UNSIGNED_INT, w, h, null)];
    const f = gl.createFramebuffer();
    gl.bindFramebuffer(gl.FRAMEBUFFER, f);
    [gl.COLOR_ATTACHMENT0, gl.COLOR_ATTACHMENT1, gl.DEPTH_ATTACHMENT].forEach((a, i) => gl.framebufferTexture2D(gl.FRAMEBUFFER, a, gl.TEXTURE_2D, t[i], 0));
    gl.drawBuffers([gl.COLOR_ATTACHMENT0, gl.COLOR_ATTACHMENT1]);
    target = { w, h, t, f };
  }
  function axes() {
    const a = view.turn * Math.PI / 180, e = view.rise * Math.PI / 180;
    return { right: [-Math.sin(a), Math.cos(a), 0], up: [-Math.sin(e) * Math.cos(a), -Math.sin(e) * Math.sin(a), Math.cos(e)],
      toward: [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)] };
  }
  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const pxPerMM = () => Math.min(canvas.clientWidth / view.half[0], canvas.clientHeight / view.half[1]) * 0.46 * view.zoom;
  // how far each piece is moved along a direction, by its number.
  const movedAlong = (d) => Float32Array.from({ length: head.ids.length + 1 }, (_, i) => view.apart * dot(moves.subarray(4 * i, 4 * i + 3), d));
  // the middle and half the size of what is shown, as it is seen.
  function fit() {
    const l = layers[view.layer], x = axes(), lo = [], hi = [], P = l.point;
    for (const d of [x.right, x.up, x.toward]) {
      const [dx, dy, dz] = d, m = movedAlong(d);
      let least = 1e30, most = -1e30;
      for (let i = 0; i < l.corner.length; i++) {
        const c = 3 * l.corner[i], at = P[c] * dx + P[c + 1] * dy + P[c + 2] * dz + m[l.piece[(i / 3) | 0]];
        if (at < least) least = at;
        if (at > most) most = at;
      }
      lo.push(least);
      hi.push(most);
    }
    const mid = lo.map((v, k) => (v + hi[k]) / 2);
    view.mid = [0, 1, 2].map((k) => mid[0] * x.right[k] + mid[1] * x.up[k] + mid[2] * x.toward[k]);
    view.half = [Math.max((hi[0] - lo[0]) / 2, 1), Math.max((hi[1] - lo[1]) / 2, 1)];
    view.deep = 1.2 * Math.hypot(hi[0] - lo[0], hi[1] - lo[1], hi[2] - lo[2]) || 1;
    view.pan = [0, 0];
    view.zoom = 1;
  }
  function draw() {
    busy = false;
    const ratio = Math.min(window.devicePixelRatio || 1, 2), w = Math.round(canvas.clientWidth * ratio), h = Math.round(canvas.clientHeight * ratio);
    if (!w || !h || !layers) return;
    const fine = moving || w * h > 3e6 ? 1 : 2, l = layers[view.layer], x = axes(), s = pxPerMM();
    if (canvas.width !== w || canvas.height !== h) { canvas.width = w; canvas.height = h; }
    load(l);
    resize(w * fine, h * fine);
    gl.bindFramebuffer(gl.FRAMEBUFFER, target.f);
    gl.viewport(0, 0, w * fine, h * fine);
    gl.enable(gl.DEPTH_TEST);
    gl.clearBufferfv(gl.COLOR, 0, [0.992, 0.980, 0.949, 1]);
    gl.clearBufferfv(gl.COLOR, 1, [0, 0, 0.5, 0.5]);
    gl.clearBufferfv(gl.DEPTH, 0, [1]);
    gl.useProgram(solid.p);
    const u = solid.at;
    gl.uniform3fv(u.right, x.right); gl.uniform3fv(u.up, x.up); gl.uniform3fv(u.toward, x.toward); gl.uniform3fv(u.mid, view.mid);
    gl.uniform4f(u.fit, 2 * s / canvas.clientWidth, 2 * s / canvas.clientHeight, 2 * view.pan[0] / canvas.clientWidth, 2 * view.pan[1] / canvas.clientHeight);
    gl.uniform1f(u.apart, view.apart); gl.uniform1f(u.deep, view.deep); gl.uniform1i(u.moves, 0);
    gl.uniform1f(u.picked, view.picked || view.hover); gl.uniform1i(u.deviation, view.deviation ? 1 : 0);
    gl.uniform3fv(u.washes, washes); gl.uniform3fv(u.steps, steps());
    gl.bindVertexArray(l.vao);
    gl.drawArrays(gl.TRIANGLES, 0, l.corner.length);
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    gl.viewport(0, 0, w, h);
    gl.disable(gl.DEPTH_TEST);
    gl.useProgram(inked.p);
    gl.uniform1i(inked.at.colour, 1); gl.uniform1i(inked.at.key, 2); gl.uniform1i(inked.at.depth, 3);
    gl.uniform1i(inked.at.fine, fine); gl.uniform1f(inked.at.picked, view.picked || view.hover);
    gl.bindVertexArray(plain);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
    bar(s);
  }
  const steps = () => head.colours.flatMap((c) => [1, 3, 5].map((i) => parseInt(c.slice(i, i + 2), 16) / 255));
  function again() { if (!busy) { busy = true; requestAnimationFrame(draw); } }
  // coarse while it moves, fine once it stands.
  function move() {
    moving = true;
    clearTimeout(settle);
    settle = setTimeout(() => { moving = false; again(); }, 140);
    again();
  }
  function bar(s) {
    const p = Math.pow(10, Math.floor(Math.log10(110 / s))), k = [5, 2, 1].find((m) => 110 / s >= m * p) || 1, long = k * p;
    $("fig1-bar").style.width = long * s + "px";
    $("fig1-long").textContent = long >= 1000 ? long / 1000 + " m" : long + " mm";
  }

  // --- picking: the nearest triangle under a place of the window
  function hit(clientX, clientY) {
    const r = canvas.getBoundingClientRect(), s = pxPerMM(), x = axes(), l = layers[view.layer], P = l.point, C = l.corner;
    const a = (clientX - r.left - r.width / 2 - view.pan[0]) / s + dot(view.mid, x.right), b = (r.height / 2 - clientY + r.top - view.pan[1]) / s + dot(view.mid, x.up);
    const [rx, ry] = x.right, [ux, uy, uz] = x.up, mr = movedAlong(x.right), mu = movedAlong(x.up), mt = movedAlong(x.toward);
    let best = null;
    for (let t = 0; t < l.count; t++) {
      const i = 3 * C[3 * t], j = 3 * C[3 * t + 1], k = 3 * C[3 * t + 2], dx = mr[l.piece[t]] - a, dy = mu[l.piece[t]] - b;
      const x0 = P[i] * rx + P[i + 1] * ry + dx, x1 = P[j] * rx + P[j + 1] * ry + dx, x2 = P[k] * rx + P[k + 1] * ry + dx;
      if ((x0 > 0 && x1 > 0 && x2 > 0) || (x0 < 0 && x1 < 0 && x2 < 0)) continue;
      const y0 = P[i] * ux + P[i + 1] * uy + P[i + 2] * uz + dy, y1 = P[j] * ux + P[j + 1] * uy + P[j + 2] * uz + dy, y2 = P[k] * ux + P[k + 1] * uy + P[k + 2] * uz + dy;
      const u = x1 * y2 - y1 * x2, v = x2 * y0 - y2 * x0, w = x0 * y1 - y0 * x1, sum = u + v + w;
      if (sum === 0 || !((u >= 0 && v >= 0 && w >= 0) || (u <= 0 && v <= 0 && w <= 0))) continue;
      const at = [0, 1, 2].map((n) => (u * P[i + n] + v * P[j + n] + w * P[k + n]) / sum), near = dot(at, x.toward) + mt[l.piece[t]];
      if (!best || near > best.near) best = { near, at, piece: l.piece[t] };
    }
    return best;
  }
  // {id, at}: the piece and the point in the scan's own units; null beside it.
  function pick(clientX, clientY) {
    const h = hit(clientX, clientY);
    if (!h) return null;
    return { id: h.piece ? head.ids[h.piece - 1] : "", at: head.scan.map((r) => dot(r, h.at) + r[3]) };
  }
  const linkOf = (id) => Array.from(document.querySelectorAll("#fig1-pieces a")).find((a) => a.dataset.pick === id);
  function select(id) {
    view.picked = head.ids.indexOf(id) + 1;
    const link = linkOf(id), says = $("fig1-says");
    says.textContent = "";
    document.querySelectorAll("#fig1-pieces a").forEach((a) => a.classList.toggle("on", a === link));
    if (link) {
      const go = document.createElement("a");
      go.href = link.getAttribute("href");
      go.textContent = "its sheet";
      const back = document.createElement("button");
      back.type = "button";
      back.textContent = "show all alike";
      back.onclick = () => select("");
      says.append("Picked: " + link.textContent.trim() + ". ", go, " ", back);
    } else says.textContent = says.dataset.rest;
    again();
  }
  function lookFrom(turn, rise) {
    const from = [view.turn, view.rise], t0 = performance.now();
    turn = from[0] + ((turn - from[0] + 540) % 360) - 180;
    const step = (t) => {
      const k = calm ? 1 : Math.min(1, (t - t0) / 260), e = k * k * (3 - 2 * k);
      view.turn = from[0] + e * (turn - from[0]);
      view.rise = from[1] + e * (rise - from[1]);
      if (k === 1) fit();
      move();
      if (k !== 1) requestAnimationFrame(step);
    };
    step(calm ? t0 + 1e3 : t0);
  }
  const turnBy = (a, e) => { view.turn += a; view.rise = Math.max(-90, Math.min(90, view.rise + e)); move(); };
  const zoomBy = (k) => { view.zoom = Math.max(0.5, Math.min(40, view.zoom * k)); move(); };
  function apart(x) {
    view.apart = x;
    $("fig1-apart").value = 100 * x;
    fit();
    move();
  }
  function show(name) {
    view.deviation = name === "deviation";
    view.layer = Math.max(0, layers.findIndex((l) => l.name === (view.deviation ? "scan" : name)));
    $("fig1-legend").hidden = !view.deviation;
    again();
  }

  // --- hands
  const down = new Map();
  let from = null, dragged = false, pinch = 0;
  const middle = () => Array.from(down.values()).reduce((s, p) => [s[0] + p[0] / down.size, s[1] + p[1] / down.size], [0, 0]);
  const spread = () => { const [a, b] = Array.from(down.values()); return Math.hypot(a[0] - b[0], a[1] - b[1]); };
  function listen() {
    canvas.addEventListener("pointerdown", (e) => {
      canvas.setPointerCapture(e.pointerId);
      down.set(e.pointerId, [e.clientX, e.clientY]);
      if (down.size === 1) dragged = false; else { dragged = true; pinch = spread(); }
      from = middle();
    });
    canvas.addEventListener("pointermove", (e) => {
      if (!down.has(e.pointerId)) {
        if (e.pointerType === "mouse") canvas.style.cursor = hit(e.clientX, e.clientY) ? "pointer" : "grab";
        return;
      }
      down.set(e.pointerId, [e.clientX, e.clientY]);
      const m = middle(), dx = m[0] - from[0], dy = m[1] - from[1];
      if (!dragged && Math.hypot(dx, dy) > 4) dragged = true;
      if (!dragged) return;
      if (down.size > 1 || e.shiftKey) { view.pan[0] += dx; view.pan[1] -= dy; } else turnBy(-0.4 * dx, 0.3 * dy);
      if (down.size > 1) { const d = spread(); zoomBy(d / pinch); pinch = d; }
      from = m;
      move();
    });
    const release = (e) => {
      const was = down.delete(e.pointerId);
      if (down.size) from = middle();
      if (!was || dragged || e.type !== "pointerup") return;
      const p = pick(e.clientX, e.clientY);
      if (api.take) { api.take(p); return; }
      select(p ? p.id : "");
      const link = p && linkOf(p.id);
      if (link) location.hash = link.getAttribute("href");
    };
    canvas.addEventListener("pointerup", release);
    canvas.addEventListener("pointercancel", release);
    canvas.addEventListener("wheel", (e) => {
      if (!e.ctrlKey && document.activeElement !== canvas) return;
      e.preventDefault();
      zoomBy(Math.exp(-0.0015 * e.deltaY));
    }, { passive: false });
    canvas.addEventListener("keydown", (e) => {
      const todo = { ArrowLeft: () => turnBy(-6, 0), ArrowRight: () => turnBy(6, 0), ArrowUp: () => turnBy(0, 5), ArrowDown: () => turnBy(0, -5),
        "+": () => zoomBy(1.2), "=": () => zoomBy(1.2), "-": () => zoomBy(1 / 1.2), Home: () => lookFrom(start.turn, start.rise), Escape: () => select("") }[e.key];
      const link = e.key === "Enter" && view.picked && linkOf(head.ids[view.picked - 1]);
      if (link) location.hash = link.getAttribute("href");
      if (todo) { e.preventDefault(); todo(); }
    });
    document.querySelectorAll("input[name=fig1-layer]").forEach((i) => i.addEventListener("change", () => show(i.value)));
    $("fig1-apart").addEventListener("input", (e) => apart(e.target.value / 100));
    document.querySelectorAll("#fig1 [data-from]").forEach((b) => b.addEventListener("click", () => lookFrom(...b.dataset.from.split(",").map(Number))));
    document.querySelectorAll("#fig1 [data-zoom]").forEach((b) => b.addEventListener("click", () => zoomBy(Number(b.dataset.zoom))));
    document.querySelectorAll("#fig1-pieces a").forEach((a) => {
      a.addEventListener("focus", () => { view.hover = head.ids.indexOf(a.dataset.pick) + 1; again(); });
      a.addEventListener("mouseenter", () => { view.hover = head.ids.indexOf(a.dataset.pick) + 1; again(); });
      for (const k of ["blur", "mouseleave"]) a.addEventListener(k, () => { view.hover = 0; again(); });
    });
    document.addEventListener("click", (e) => {
      const a = e.target.closest && e.target.closest("a[data-pick]");
      if (a) select(a.dataset.pick);
    });
    new ResizeObserver(again).observe(canvas);
  }
  const api = { pick, select, show, apart, turn: lookFrom, take: null };
  unpack().then(() => {
    prepare();
    $("fig1").classList.add("live");
    fit();
    listen();
    draw();
    window.fig1 = api;
  }).catch((e) => { $("fig1").classList.remove("live"); console.warn("Fig. 1: " + e.message); });
})();
