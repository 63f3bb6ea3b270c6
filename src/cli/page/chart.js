// Draws what the server has computed: no figure is computed here but where it stands in pixels.
"use strict";

const Chart = (() => {
  const NS = "http://www.w3.org/2000/svg";

  function put(parent, name, attributes, text) {
    const node = document.createElementNS(NS, name);
    for (const key in attributes) {
      node.setAttribute(key, attributes[key]);
    }
    if (text !== undefined) {
      node.textContent = text;
    }
    parent.appendChild(node);
    return node;
  }

  // Round steps that give at most so many over a span.
  function stepFor(span, most) {
    const raw = span / Math.max(1, most);
    const ten = Math.pow(10, Math.floor(Math.log10(raw)));
    for (const factor of [1, 2, 2.5, 5, 10]) {
      if (factor * ten >= raw * (1 - 1e-9)) {
        return factor * ten;
      }
    }
    return 10 * ten;
  }

  function decimalsOf(step) {
    for (let n = 0; n < 6; n++) {
      if (Math.abs(step * Math.pow(10, n) - Math.round(step * Math.pow(10, n))) < 1e-6) {
        return n;
      }
    }
    return 6;
  }

  function ticks(low, high, most) {
    const step = stepFor(high - low, most);
    const decimals = decimalsOf(step);
    const list = [];
    for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; k++) {
      list.push({ at: k * step, text: (k * step).toFixed(decimals).replace(/^-(0\.?0*)$/, "$1") });
    }
    return list;
  }

  // Where a panel's values stand in its box.
  function scale(box, xa, xb, ya, yb) {
    return {
      box, xa, xb, ya, yb,
      x: v => box.x0 + (v - xa) / (xb - xa) * (box.x1 - box.x0),
      y: v => box.y1 - (v - ya) / (yb - ya) * (box.y1 - box.y0),
    };
  }

  const px = v => v.toFixed(1);

  function pathOf(points, s, close) {
    let d = "";
    for (let i = 0; i < points.length; i += 2) {
      d += (i === 0 ? "M" : "L") + px(s.x(points[i])) + " " + px(s.y(points[i + 1]));
    }
    return d + (close && d !== "" ? "Z" : "");
  }

  // Boxes that are taken, so that words do not lie on each other.
  function Taken(box) {
    const rects = [];
    return {
      add: rect => rects.push(rect),
      // owner: whose name may lie this close to it.
      addLine(points, owner) {
        for (let i = 0; i + 3 < points.length; i += 2) {
          const dx = points[i + 2] - points[i];
          const dy = points[i + 3] - points[i + 1];
          const n = Math.max(1, Math.ceil(Math.hypot(dx, dy) / 6));
          for (let k = 0; k <= n; k++) {
            const x = points[i] + dx * k / n;
            const y = points[i + 1] + dy * k / n;
            rects.push([x - 3, y - 3, x + 3, y + 3, owner]);
          }
        }
      },
      free(rect, owner) {
        const inside = rect[0] >= box[0] && rect[1] >= box[1] && rect[2] <= box[2] && rect[3] <= box[3];
        return inside && !rects.some(r => (owner === undefined || r[4] !== owner) && rect[0] < r[2] && rect[2] > r[0] && rect[1] < r[3] && rect[3] > r[1]);
      },
    };
  }

  const wordsBox = (x, y, text, size) => {
    const half = text.length * size * 0.29 + 4;
    return [x - half, y - size * 0.85, x + half, y + size * 0.3];
  };

  // Whether a point lies in one of the patches of a map that have data, in the map's own values.
  function inRegion(region, x, y) {
    return region.some(patch => {
      let inside = false;
      for (let i = 0, j = patch.length - 2; i < patch.length; j = i, i += 2) {
        const yi = patch[i + 1];
        const yj = patch[j + 1];
        if ((yi > y) !== (yj > y) && x < (patch[j] - patch[i]) * (y - yi) / (yj - yi) + patch[i]) {
          inside = !inside;
        }
      }
      return inside;
    });
  }

  // Short strokes on the forbidden side of a limit; side is 1 for the right of its direction on the screen.
  function hatch(parent, pixels, side) {
    let d = "";
    let left = 6;
    for (let i = 0; i + 3 < pixels.length; i += 2) {
      const dx = pixels[i + 2] - pixels[i];
      const dy = pixels[i + 3] - pixels[i + 1];
      const length = Math.hypot(dx, dy);
      for (; left < length; left += 11) {
        const x = pixels[i] + dx * left / length;
        const y = pixels[i + 1] + dy * left / length;
        const nx = -dy / length * side;
        const ny = dx / length * side;
        d += `M${px(x)} ${px(y)}l${px(nx * 7 + dx / length * 4)} ${px(ny * 7 + dy / length * 4)}`;
      }
      left -= length;
    }
    put(parent, "path", { class: "ticks", d });
  }

  const toPixels = (points, s) => points.map((v, i) => i % 2 === 0 ? s.x(v) : s.y(v));

  let serial = 0;

  // A map in a holder: what stays is drawn once, what moves each time.
  function hotWords(view) {
    const panel = view.panels.find(p => p.limits.some(l => l.name === "discharge limit"));
    if (!panel) {
      return "discharge limit";
    }
    const value = panel.limits.find(l => l.name === "discharge limit").value;
    return `discharge limit ${value.toFixed(panel.decimals).replace(/\.0+$/, "")} ${panel.unit}`;
  }

  function MapChart(holder) {
    const svg = document.createElementNS(NS, "svg");
    svg.setAttribute("role", "img");
    holder.appendChild(svg);
    const id = "region-" + serial++;
    let drawn = "";
    let s = null;
    let map = null;
    let levelSpots = [];

    function spans(about, view) {
      let flow = 0;
      let least = 1;
      let most = 1.2;
      for (const build of about.builds) {
        flow = Math.max(flow, build.map.flow_most_m3_s);
        least = Math.min(least, build.map.ratio_least);
        most = Math.max(most, build.map.ratio_most);
      }
      for (const point of view.map.line) {
        flow = Math.max(flow, point.flow_m3_s);
        least = Math.min(least, point.ratio);
        most = Math.max(most, point.ratio);
      }
      const step = stepFor(flow * view.flow.scale, 16);
      return { flow: Math.ceil(flow * 1.01 * view.flow.scale / step) * step / view.flow.scale,
               least: Math.floor(least * 20 - 1e-6) / 20, // Room for the names over the speed lines.
               most: Math.ceil((most + 0.08 * (most - least)) * 20) / 20 };
    }

    function drawAxes(g, view, box) {
      const narrow = box.x1 - box.x0 < 420;
      put(g, "rect", { class: "axis", x: box.x0, y: box.y0, width: box.x1 - box.x0, height: box.y1 - box.y0 });
      for (const t of ticks(0, s.xb * view.flow.scale, narrow ? 5 : 9)) {
        const x = px(s.x(t.at / view.flow.scale));
        put(g, "path", { class: "axis", d: `M${x} ${box.y1}v5` });
        put(g, "text", { x, y: box.y1 + 19, "text-anchor": "middle" }, t.text);
      }
      for (const t of ticks(s.ya, s.yb, 8)) {
        const y = s.y(t.at);
        put(g, "path", { class: "axis", d: `M${box.x0} ${px(y)}h-5` });
        put(g, "text", { x: box.x0 - 8, y: px(y + 4), "text-anchor": "end" }, t.text);
      }
      for (const t of ticks((s.ya - 1) * view.rise.scale, (s.yb - 1) * view.rise.scale, 8)) {
        const y = s.y(1 + t.at / view.rise.scale);
        put(g, "path", { class: "axis", d: `M${box.x1} ${px(y)}h5` });
        put(g, "text", { x: box.x1 + 8, y: px(y + 4) }, t.text);
      }
      const middle = (box.x0 + box.x1) / 2;
      put(g, "text", { x: middle, y: box.y1 + 38, "text-anchor": "middle", class: narrow ? "small" : "" },
          narrow ? `Inlet volume flow, ${view.flow.unit}, in the map's air`
                 : `Inlet volume flow, ${view.flow.unit}, in the map's air of ${view.flow.air}`);
      put(g, "text", { x: 0, y: box.y0 - 9, class: narrow ? "small" : "" }, "Pressure ratio");
      put(g, "text", { x: box.x1 + 44, y: box.y0 - 9, "text-anchor": "end", class: narrow ? "small" : "" },
          narrow ? `Rise, ${view.rise.unit}` : `Rise from an inlet at site pressure, before any loss, ${view.rise.unit}`);
    }

    function drawStill(view, width, height) {
      const box = { x0: 42, y0: 26, x1: width - 46, y1: height - 48 };
      svg.replaceChildren();
      svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
      const defs = put(svg, "defs", {});
      const clip = put(defs, "clipPath", { id });
      put(clip, "path", { d: map.region.map(patch => pathOf(patch, s, true)).join("") });
      const frame = put(defs, "clipPath", { id: id + "-box" });
      put(frame, "rect", { x: box.x0, y: box.y0, width: box.x1 - box.x0, height: box.y1 - box.y0 });
      const bands = put(svg, "g", { "clip-path": `url(#${id})` });
      put(bands, "path", { fill: map.paper, d: map.region.map(patch => pathOf(patch, s, true)).join("") });
      for (const band of map.bands) {
        put(bands, "path", { fill: band.colour, "fill-rule": "evenodd", d: band.loops.map(l => pathOf(l, s, true)).join("") });
      }
      for (const band of map.bands) {
        put(bands, "path", { class: "edge", d: band.edges.map(l => pathOf(l, s, false)).join("") });
      }
      const lines = put(svg, "g", { "clip-path": `url(#${id}-box)` });
      for (const line of map.speed_lines) {
        put(lines, "path", { class: "speed", d: pathOf(line.points, s, false) });
      }
      drawAxes(put(svg, "g", {}), view, box);
      put(svg, "g", { class: "moving" });
    }

    function drawSpeedNames(g, taken) {
      map.speed_lines.forEach((line, k) => {
        const n = line.points.length;
        const x = s.x(line.points[n - 2]);
        const y = s.y(line.points[n - 1]) - 5;
        const text = String(Math.round(line.speed_rpm)) + (k === 0 ? " rpm" : "");
        const rect = wordsBox(x, y, text, 12);
        if (taken.free(rect)) {
          taken.add(rect);
          put(g, "text", { x: px(x), y: px(y), "text-anchor": "middle", class: "small named" }, text);
        }
      });
    }

    // Where the name of each level may stand: on its line, with all of it on the map. The line and its marks move over
    // the map, so that the choice is made anew each time, but not this.
    function findLevelSpots() {
      const onMap = (x, y) => inRegion(map.region, s.xa + (x - s.box.x0) / (s.box.x1 - s.box.x0) * (s.xb - s.xa),
                                       s.ya + (s.box.y1 - y) / (s.box.y1 - s.box.y0) * (s.yb - s.ya));
      return [...map.bands].reverse().map(band => {
        const text = Number((band.level * 100).toFixed(1)) + " %";
        const spots = [];
        for (const edge of band.edges) {
          for (let i = 0; i + 1 < edge.length; i += 2 * Math.max(1, Math.floor(edge.length / 48))) {
            const x = s.x(edge[i]);
            const y = s.y(edge[i + 1]) + 4;
            const r = wordsBox(x, y, text, 12);
            if (onMap(r[0], r[1]) && onMap(r[2], r[1]) && onMap(r[0], r[3]) && onMap(r[2], r[3])) {
              spots.push({ x, y, rect: r, away: Math.abs(i - edge.length / 2) });
            }
          }
        }
        return { text, spots: spots.sort((one, other) => one.away - other.away) };
      });
    }

    function drawLevelNames(g, taken) {
      for (const { text, spots } of levelSpots) {
        const spot = spots.find(o => taken.free(o.rect));
        if (spot !== undefined) {
          // Where levels crowd, fewer names are read better.
          taken.add([spot.rect[0] - 14, spot.rect[1] - 9, spot.rect[2] + 14, spot.rect[3] + 9]);
          put(g, "text", { x: px(spot.x), y: px(spot.y), "text-anchor": "middle", class: "small halo" }, text);
        }
      }
    }

    // A limit with its strokes; its name is drawn later, where it finds room.
    function drawBar(g, points, name, dashed, side, names) {
      const pixels = toPixels(points, s);
      put(g, "path", { class: dashed ? "bar dashed" : "bar", d: pathOf(points, s, false) });
      hatch(g, pixels, side);
      names.push({ pixels, name });
    }

    // Along the limit on its allowed side, from its middle outwards; a steep one carries its name upright.
    function drawBarNames(g, names, taken) {
      for (const { pixels, name } of names) {
        const half = wordsBox(0, 0, name, 13)[2];
        const spots = [];
        for (let i = 0; i + 3 < pixels.length; i += 2) {
          const dx = pixels[i + 2] - pixels[i];
          const dy = pixels[i + 3] - pixels[i + 1];
          const steep = Math.abs(dy) > Math.abs(dx);
          const lean = Math.atan2(steep ? -Math.abs(dy) : dy * Math.sign(dx), steep ? -dx * Math.sign(dy) : Math.abs(dx)) * 180 / Math.PI;
          for (const side of steep ? [-1, 1] : [1, -1]) {
            const x = pixels[i] + (steep ? side * (side < 0 ? 6 : 20) : 0);
            const y = pixels[i + 1] + (steep ? 0 : side > 0 ? 17 : -12);
            const rect = steep ? [x - 12, y - half, x + 2, y + half] : [x - half, y - 12, x + half, y + 4];
            spots.push({ x, y, rect, lean, away: Math.abs(i - pixels.length / 2) + (side === (steep ? -1 : 1) ? 0 : 4) });
          }
        }
        spots.sort((one, other) => one.away - other.away);
        const spot = spots.find(o => taken.free(o.rect, pixels));
        if (spot !== undefined) {
          taken.add(spot.rect);
          put(g, "text", { x: px(spot.x), y: px(spot.y), "text-anchor": "middle", class: "bar-name", transform: `rotate(${px(spot.lean)} ${px(spot.x)} ${px(spot.y)})` }, name);
        }
      }
    }

    function drawHero(g, line, taken) {
      const points = line.flatMap(p => [p.flow_m3_s, p.ratio]);
      put(g, "path", { class: "case", d: pathOf(points, s, false) });
      const runs = { inside: "", outside: "" };
      let last = "";
      for (let i = 0; i + 1 < line.length; i++) {
        const kind = line[i].on_map && line[i + 1].on_map ? "inside" : "outside";
        const d = pathOf(points.slice(2 * i, 2 * i + 4), s, false);
        runs[kind] += kind === last ? d.slice(d.indexOf("L")) : d;
        last = kind;
      }
      put(g, "path", { class: "hero", d: runs.inside });
      put(g, "path", { class: "hero outside", d: runs.outside });
      taken.addLine(toPixels(points, s));
    }

    function drawMarks(g, marks, taken) {
      for (const mark of marks) {
        const x = s.x(mark.flow_m3_s);
        const y = s.y(mark.ratio);
        put(g, "circle", { class: "mark", cx: px(x), cy: px(y), r: 5 });
        taken.add([x - 6, y - 6, x + 6, y + 6]);
      }
      // The ends first: they must be read.
      const order = marks.map((mark, i) => i).sort((a, b) => (b === 0 || b === marks.length - 1) - (a === 0 || a === marks.length - 1));
      for (const i of order) {
        const end = i === 0 || i === marks.length - 1;
        const text = Math.round(marks[i].engine_rpm) + (end ? " rpm" : "");
        const x = s.x(marks[i].flow_m3_s);
        const y = s.y(marks[i].ratio);
        const spots = [[0, -13], [0, 22], [38, 5], [-38, 5], [34, -12], [-34, -12], [34, 20], [-34, 20]];
        const spot = spots.find(([dx, dy]) => taken.free(wordsBox(x + dx, y + dy, text, 13.5))) || (end ? spots[0] : undefined);
        if (spot !== undefined) {
          taken.add(wordsBox(x + spot[0], y + spot[1], text, 13.5));
          put(g, "text", { x: px(x + spot[0]), y: px(y + spot[1]), "text-anchor": "middle", class: "halo mark-name" }, text);
        }
      }
    }

    // What is drawn of a build, over what is drawn once of its map.
    return function draw(about, build, view, before, words) {
      const width = Math.max(300, Math.round(holder.clientWidth));
      const height = Math.round(Math.max(350, Math.min(620, width * 0.62)));
      const span = spans(about, view);
      const key = JSON.stringify([build, width, height, span, view.flow.unit, view.rise]);
      map = about.builds[build].map;
      if (key !== drawn) {
        s = scale({ x0: 42, y0: 26, x1: width - 46, y1: height - 48 }, 0, span.flow, span.least, span.most);
        drawStill(view, width, height);
        levelSpots = findLevelSpots();
        drawn = key;
      }
      const g = svg.lastChild;
      g.replaceChildren();
      const box = s.box;
      const taken = Taken([box.x0 + 1, box.y0 + 1, box.x1 - 1, box.y1 - 1]);
      const clipped = put(g, "g", { "clip-path": `url(#${id}-box)` });
      const names = [];
      for (const limit of view.map.speed_limits) {
        if (limit.inside) {
          // Traces run up the pressure ratio: faster is to the right of that.
          const narrow = box.x1 - box.x0 < 420;
          drawBar(clipped, limit.points, narrow ? limit.words : `${limit.words} ${Math.round(limit.blower_rpm)} rpm`, !limit.short_time, 1, names);
        }
      }
      view.map.hot.forEach((piece, i) => {
        drawBar(clipped, piece, i === 0 ? hotWords(view) : "", true, -1, names);
      });
      if (before) {
        put(clipped, "path", { class: "before", d: pathOf(before.map.line.flatMap(p => [p.flow_m3_s, p.ratio]), s, false) });
      }
      drawHero(clipped, view.map.line, taken);
      names.forEach(n => taken.addLine(n.pixels, n.pixels));
      drawMarks(clipped, view.map.marks, taken);
      drawBarNames(clipped, names.filter(n => n.name !== ""), taken);
      drawSpeedNames(g, taken);
      drawLevelNames(clipped, taken);
      svg.setAttribute("aria-label", words);
    };
  }

  // One panel of curves over engine speed. lines: { xs, values, name, kind, ghost }.
  // A curve in its runs: solid on the map's data, pale and dotted where the map's edge is held.
  function drawRuns(svg, line, s) {
    const inside = i => !line.inside || (line.inside[i] && line.inside[i + 1]);
    const there = i => line.values[i] !== null && line.values[i + 1] !== null;
    for (let i = 0; i + 1 < line.xs.length;) {
      let end = i + 1;
      while (end + 1 < line.xs.length && inside(end) === inside(i) && there(end) && there(i)) {
        end++;
      }
      if (there(i)) {
        const points = [];
        for (let k = i; k <= end; k++) {
          points.push(line.xs[k], line.values[k]);
        }
        put(svg, "path", { class: "curve " + line.kind + (inside(i) ? "" : " held"), d: pathOf(points, s, false) });
      }
      i = end;
    }
  }

  function curves(holder, panel, lines, limits, words) {
    const width = Math.max(280, Math.round(holder.clientWidth));
    const height = 190;
    const box = { x0: 46, y0: 8, x1: width - 12, y1: height - 26 };
    const all = lines.flatMap(l => l.values).filter(v => v !== null);
    const xs = lines.flatMap(l => l.xs);
    let high = Math.max(...all);
    let low = Math.min(...all);
    const near = limits.filter(l => l.value < high * 1.5 + 1e-9 && l.value > 0);
    high = Math.max(high, ...near.map(l => l.value));
    const temperature = panel.unit === "degC" || panel.unit === "degF";
    low = temperature ? Math.min(low, high - 10) : Math.min(0, low);
    const step = stepFor(high - low || 1, 5);
    const ya = Math.floor(low / step + 1e-9) * step;
    const yb = high + 0.1 * (high - ya);
    const s = scale(box, Math.min(...xs), Math.max(...xs), ya, yb);
    const svg = document.createElementNS(NS, "svg");
    svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", words);
    for (const t of ticks(ya, yb, 5)) {
      const y = px(s.y(t.at));
      put(svg, "path", { class: "grid", d: `M${box.x0} ${y}H${box.x1}` });
      put(svg, "text", { class: "small", x: box.x0 - 6, y: px(s.y(t.at) + 4), "text-anchor": "end" }, t.text);
    }
    for (const t of ticks(s.xa, s.xb, Math.floor(width / 65))) {
      const x = px(s.x(t.at));
      put(svg, "path", { class: "axis", d: `M${x} ${box.y1}v4` });
      put(svg, "text", { class: "small", x, y: box.y1 + 17, "text-anchor": "middle" }, t.text);
    }
    put(svg, "path", { class: "axis", d: `M${box.x0} ${box.y0}V${box.y1}H${box.x1}` });
    const taken = Taken([box.x0, box.y0 - 8, box.x1 + 12, box.y1]);
    const sorted = [...lines].sort((a, b) => (b.ghost ? 1 : 0) - (a.ghost ? 1 : 0));
    for (const line of sorted) {
      const points = line.xs.flatMap((x, i) => line.values[i] === null ? [] : [x, line.values[i]]);
      if (line.ghost) {
        put(svg, "path", { class: "ghost", d: pathOf(points, s, false) });
      } else {
        drawRuns(svg, line, s);
      }
      if (!line.ghost) {
        taken.addLine(toPixels(points, s));
      }
    }
    const name = (x, y, text, kind) => {
      const rect = wordsBox(x, y, text, 12);
      if (!taken.free(rect)) {
        return false;
      }
      taken.add(rect);
      put(svg, "text", { x: px(x), y: px(y), "text-anchor": "middle", class: "small " + kind }, text);
      return true;
    };
    for (const limit of near) {
      const y = s.y(limit.value);
      put(svg, "path", { class: "limit", d: `M${box.x0} ${px(y)}H${box.x1}` });
      const text = `${limit.name} ${limit.value.toFixed(panel.decimals).replace(/\.0+$/, "")}`;
      const half = text.length * 3.5 + 6;
      [[box.x0 + half, -4], [box.x0 + half, 13], [(box.x0 + box.x1) / 2, -4], [(box.x0 + box.x1) / 2, 13]]
        .some(([x, dy]) => name(x, y + dy, text, "limit-name"));
    }
    for (const line of lines) {
      if (line.name && !line.ghost) {
        const half = line.name.length * 3.5 + 4;
        [0.75, 0.5, 0.3, 0.9].some(share => {
          const i = Math.round(share * (line.xs.length - 1));
          const x = Math.min(Math.max(s.x(line.xs[i]), box.x0 + half), box.x1 - half);
          const y = s.y(line.values[i]);
          return [-9, 18, -18, 27].some(dy => name(x, y + dy, line.name, "named"));
        });
      }
    }
    holder.replaceChildren(svg);
  }

  return { MapChart, curves, stepFor, decimalsOf };
})();
