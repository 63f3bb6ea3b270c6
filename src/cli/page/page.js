// Sends the changed values to the server that this page came from and shows what it answers.
"use strict";

(() => {
  const at = id => document.getElementById(id);
  const WORDS = { kept: "KEPT", close: "CLOSE", exceeded: "EXCEEDED" };
  const LETTERS = "ABCDEF";
  let about = null;
  let shown = 0;        // the build whose values stand in the controls
  let several = false;  // whether all builds are shown side by side
  let units = "si";
  let mapChart = null;
  let compareCharts = [];
  let allBuilds = true; // whether a change of anything but the drive goes into every build
  const state = [];     // of each build: values changed, the last answer, the answer without changes, findings

  function make(name, attributes, ...inside) {
    const node = document.createElement(name);
    for (const key in attributes) {
      if (key in node && typeof attributes[key] !== "string") {
        node[key] = attributes[key];
      } else {
        node.setAttribute(key, attributes[key]);
      }
    }
    node.append(...inside);
    return node;
  }

  // ---- asking ----------------------------------------------------------------------------------------------

  const GONE = "The server does not know this page: its address is of an earlier run, or mistyped. Use the one that the program printed.";
  const SILENT = "The server does not answer; start it again and open the address that it prints.";
  const EARLIER = " What stands here is of the earlier values.";

  // A unit's name, unless another build has the same unit: then the build's, with its file where that is the same too.
  function labelOf(i) {
    const own = about.builds[i];
    const alike = word => about.builds.filter(b => word(b) === word(own)).length > 1;
    const bare = b => b.file.replace(/^.*\//, "");
    if (!alike(b => b.unit)) {
      return own.unit;
    }
    return alike(b => b.name) ? `${own.name} (${alike(bare) ? own.file : bare(own)})` : own.name;
  }

  const wait = ms => new Promise(done => setTimeout(done, ms));

  async function ask(what, body) {
    for (let turn = 0; ; turn++) {
      let answer = null;
      try {
        answer = await fetch(what, body === undefined ? {} : {
          method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
        });
      } catch (fault) {
        // The server lets go of a connection that was idle, which may cross with a question.
        if (turn > 0) {
          throw fault;
        }
        await wait(100);
        continue;
      }
      if (answer.status === 404) {
        throw Object.assign(new Error(GONE), { gone: true });
      }
      if (answer.status !== 429 || turn === 3) {
        return answer;
      }
      await wait(1000 * Number(answer.headers.get("Retry-After") || 1));
    }
  }

  const wordsOf = fault => fault.gone ? GONE : SILENT;

  const changesOf = build => [...state[build].changes.values()];

  // One question at a time; what changed meanwhile is asked next.
  function Asker(question) {
    let busy = false;
    let again = false;
    return async function run() {
      if (busy) {
        again = true;
        return;
      }
      busy = true;
      do {
        again = false;
        try {
          await question();
        } catch (fault) {
          tellFault(wordsOf(fault) + EARLIER);
        }
      } while (again);
      busy = false;
    };
  }

  const solve = Asker(async () => {
    const build = shown;
    const own = state[build];
    const asked = new Map(own.changes);
    const answer = await ask("solve", { build, units, changes: [...asked.values()] });
    const told = await answer.json();
    if (!answer.ok) {
      own.findings = told.findings || [];
      own.fault = told.error;
    } else {
      own.findings = [];
      own.fault = "";
      own.accepted = asked;
      own.answer = told;
      own.answerUnits = units;
      if (own.changes.size === 0) {
        own.plain = told;
      } else if (own.plain === null || own.plain.view.flow.unit !== told.view.flow.unit) {
        const plain = await ask("solve", { build, units, changes: [] });
        own.plain = plain.ok ? await plain.json() : null;
      }
    }
    if (build === shown) {
      showFindings();
      if (!several) {
        showOne();
      }
    }
  });

  const compare = Asker(async () => {
    const boost = at("same-boost").value.trim();
    const answer = await ask("compare", { units, builds: state.map((s, i) => changesOf(i)), boost: boost === "" ? null : boost });
    const told = await answer.json();
    if (several) {
      solvedFor = answer.ok && boost !== "" ? { boost, pulleys: told.view.builds.map(b => b.blower_pulley_m) } : null;
      showSolved();
      showSeveral(answer.ok ? told.view : null, told.error);
    }
  });

  // At the same boost the pulleys are solved: the control says so, and offers to take them over.
  let solvedFor = null;

  const pulleyIn = build => about.builds[build].controls.find(c => c.section === "drive" && c.key === "blower_pulley");

  function solvedText(build) {
    const m = solvedFor.pulleys[build];
    return pulleyIn(build).unit === "in" ? (m / 0.0254).toFixed(4) + " in" : (m * 1000).toFixed(3) + " mm";
  }

  function takeOver() {
    about.builds.forEach((b, i) => {
      if (pulleyIn(i) && solvedFor.pulleys[i] !== null) {
        setChange(i, pulleyIn(i), solvedText(i));
      }
    });
    at("same-boost").value = "";
    solvedFor = null;
    showControls();
    changed();
  }

  function showSolved() {
    const node = at("controls").querySelector("[data-key='drive/blower_pulley']");
    if (node === null) {
      return;
    }
    const held = several && solvedFor !== null && solvedFor.pulleys[shown] !== null;
    node.querySelectorAll("input").forEach(input => { input.disabled = held; });
    node.querySelectorAll(".solved").forEach(old => old.remove());
    if (held) {
      const take = make("button", { type: "button", class: "small", id: "take-over" }, "Take over the solved pulleys");
      take.addEventListener("click", takeOver);
      node.append(make("p", { class: "told solved", id: "solved-told" }, `Compared with ${solvedText(shown)}, solved for ${solvedFor.boost}; the size above takes no part. `, take));
    }
  }

  // What was changed stays when the page is loaded again, until its tab is closed.
  function remember() {
    try {
      sessionStorage.setItem(location.pathname, JSON.stringify(state.map(own => [...own.changes])));
    } catch (fault) {
      // A browser that keeps nothing.
    }
  }

  function recall() {
    try {
      const kept = JSON.parse(sessionStorage.getItem(location.pathname) || "[]");
      kept.forEach((changes, i) => {
        const known = new Set(about.builds[i].controls.map(keyOf));
        state[i].changes = new Map(changes.filter(([key]) => known.has(key)));
      });
    } catch (fault) {
      // Nothing kept, or not by this page.
    }
  }

  function changed() {
    remember();
    solve();
    if (several) {
      compare();
    }
  }

  // ---- values ----------------------------------------------------------------------------------------------

  const keyOf = control => control.section + "/" + control.key;

  // A number alone is one in the unit beside it; what brings its own unit is taken as it is.
  function valueOf(control, text) {
    const bare = text.trim();
    return /^[-+]?[0-9.]*([eE][-+]?[0-9]+)?$/.test(bare) && bare !== "" && control.unit !== "" ? bare + " " + control.unit : bare;
  }

  function setChange(build, control, text) {
    const changes = state[build].changes;
    const bare = text.trim();
    const same = bare === (control.number ?? "") || (control.given && bare === control.text) || (!control.given && bare === "");
    if (same) {
      changes.delete(keyOf(control));
    } else {
      changes.set(keyOf(control), { section: control.section, key: control.key, value: valueOf(control, bare) });
    }
  }

  function setEverywhere(control, text) {
    setChange(shown, control, text);
    if (control.section === "drive" || !allBuilds) {
      return;
    }
    about.builds.forEach((build, i) => {
      const other = build.controls.find(c => keyOf(c) === keyOf(control));
      if (i !== shown && other) {
        setChange(i, other, /^[-+0-9.eE ]*$/.test(text) ? valueOf(control, text) : text);
        // The same value in the other file's own unit is no change.
        if (other.given && valueOf(control, text) === other.text) {
          state[i].changes.delete(keyOf(other));
        }
      }
    });
  }

  // Takes changes back in the build that is shown, and in the others those that went into every build.
  function forget(which) {
    state.forEach((own, i) => {
      for (const [key, change] of own.changes) {
        if (which(change) && (i === shown || (allBuilds && change.section !== "drive"))) {
          own.changes.delete(key);
        }
      }
    });
  }

  const niceStep = control => Chart.stepFor(control.high - control.low, 130);

  function controlNode(control) {
    const id = "c-" + control.section + "-" + control.key;
    const step = niceStep(control);
    const decimals = Chart.decimalsOf(step);
    const text = make("input", { type: "text", id, inputmode: "decimal", spellcheck: "false", "aria-describedby": id + "-told " + id + "-unit" });
    const slider = make("input", { type: "range", min: String(Math.floor(control.low / step) * step), max: String(Math.ceil(control.high / step) * step), step: "any", "aria-label": control.label + ", slider" + (control.unit ? ", " + control.unit : "") });
    const told = make("p", { id: id + "-told", class: "told" });
    const undo = make("button", { type: "button", class: "small", "aria-label": control.label + ": as in the file" }, "undo");
    const node = make("div", { class: "control" }, make("label", { for: id }, control.label), text,
                      make("span", { class: "unit", id: id + "-unit" }, control.unit), slider, undo, told);
    const unitEnd = control.unit === "" ? "" : " " + control.unit;
    const withoutUnit = value => value.endsWith(unitEnd) ? value.slice(0, value.length - unitEnd.length) : value;
    // What the field had when its value was last taken, by the file or by the server.
    function accepted() {
      const last = state[shown].accepted.get(keyOf(control));
      return last === undefined ? control.number ?? "" : withoutUnit(last.value);
    }
    const numberIn = value => /^\s*[-+]?[0-9.]+([eE][-+]?[0-9]+)?/.test(value) ? parseFloat(value) : NaN;
    function put(value) {
      text.value = value;
      follow();
    }
    function slideTo(value) {
      const number = numberIn(value);
      if (!Number.isNaN(number) && valueOf(control, value).endsWith(control.unit)) {
        slider.value = String(number);
      }
      slider.setAttribute("aria-valuetext", valueOf(control, value));
    }
    function follow() {
      slideTo(text.value);
      node.classList.toggle("own-unit", control.unit !== "" && text.value.trim() !== "" && valueOf(control, text.value) === text.value.trim());
    }
    function moved() {
      setEverywhere(control, text.value);
      marks();
      changed();
    }
    function marks() {
      const isChanged = state[shown].changes.has(keyOf(control));
      node.classList.toggle("changed", isChanged);
      undo.hidden = !isChanged;
      showChanges();
    }
    // A value is asked for when it is written, not at each letter of it.
    let writing = 0;
    // Nothing written stands for the value that was taken last, where the file gives one.
    const isCleared = () => control.given && text.value.trim() === "";
    text.addEventListener("input", () => {
      clearTimeout(writing);
      if (!isCleared()) {
        follow();
        writing = setTimeout(moved, 300);
      }
    });
    text.addEventListener("change", () => {
      clearTimeout(writing);
      if (isCleared()) {
        put(accepted());
      }
      moved();
    });
    text.addEventListener("keydown", event => {
      const way = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[event.key];
      const number = numberIn(text.value);
      if (way !== undefined && !Number.isNaN(number)) {
        event.preventDefault();
        put((number + way * step).toFixed(decimals));
        moved();
      }
    });
    slider.addEventListener("input", () => {
      text.value = (Math.round(Number(slider.value) / step) * step).toFixed(decimals).replace(/\.0+$/, "");
      moved();
    });
    slider.addEventListener("keydown", event => {
      const way = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 }[event.key];
      if (way !== undefined) {
        event.preventDefault();
        const from = Number.isNaN(numberIn(text.value)) ? Number(slider.value) : numberIn(text.value);
        put((from + way * step).toFixed(decimals).replace(/\.0+$/, ""));
        moved();
      }
    });
    undo.addEventListener("click", () => {
      forget(change => keyOf(change) === keyOf(control));
      put(control.number ?? "");
      marks();
      changed();
      text.focus();
    });
    const now = state[shown].changes.get(keyOf(control));
    put(now === undefined ? control.number ?? "" : withoutUnit(now.value));
    if (control.number === null && now === undefined) {
      slider.value = String((control.low + control.high) / 2);
    }
    node.tell = (message, half) => {
      told.textContent = message || half || (control.given ? "" : control.without);
      if (message) {
        slideTo(accepted());
      }
      told.classList.toggle("bad", Boolean(message));
      told.hidden = told.textContent === "";
      node.classList.toggle("wrong", Boolean(message));
      text.setAttribute("aria-invalid", message ? "true" : "false");
    };
    node.marks = marks;
    node.dataset.key = keyOf(control);
    return node;
  }

  function showControls() {
    const form = at("controls");
    form.replaceChildren();
    const build = about.builds[shown];
    if (several) {
      form.append(make("fieldset", { id: "which" }, make("legend", {}, "Values of"), ...about.builds.map((b, i) => {
        const radio = make("input", { type: "radio", name: "which", value: String(i), checked: i === shown });
        radio.addEventListener("change", () => { shown = i; showControls(); at("controls").querySelector("[name=which]:checked").focus(); });
        return make("label", {}, radio, ` ${LETTERS[i]} ${labelOf(i)}`);
      })));
    }
    let group = null;
    for (const control of build.controls) {
      if (group === null || group.dataset.group !== control.group) {
        group = make("fieldset", { "data-group": control.group }, make("legend", {}, control.group));
        form.append(group);
      }
      group.append(controlNode(control));
    }
    if (about.builds.length > 1) {
      form.append(make("label", { class: "all" }, make("input", { type: "checkbox", id: "all-builds", checked: allBuilds }), " all but the drive in every build"));
    }
    const acts = make("div", { class: "acts" });
    const save = make("button", { type: "button", class: "main", id: "save" }, "Save build file");
    const reset = make("button", { type: "button", id: "reset" }, "Undo all");
    acts.append(save, reset, make("p", { id: "save-told" }));
    form.append(acts);
    save.addEventListener("click", saveFile);
    reset.addEventListener("click", () => {
      forget(() => true);
      showControls();
      changed();
    });
    const all = document.getElementById("all-builds");
    if (all !== null) {
      all.addEventListener("change", () => { allBuilds = all.checked; });
    }
    for (const node of form.querySelectorAll(".control")) {
      node.marks();
    }
    showSolved();
    showFindings();
  }
  function showChanges() {
    const none = state[shown].changes.size === 0;
    const save = document.getElementById("save");
    if (save !== null) {
      save.disabled = none;
      document.getElementById("reset").disabled = none;
      document.getElementById("save-told").textContent = none
        ? "Nothing is changed: the build is as in " + about.builds[shown].file + "."
        : "It is named " + about.builds[shown].download + "; keep it beside " + about.builds[shown].file + ", for both name the same unit file.";
    }
  }

  // What became of the +- that the file gives a changed value.
  function halfOf(own, key) {
    const half = own.answer === null ? undefined : own.answer.view.half_widths.find(h => h.section + "/" + h.key === key);
    if (half === undefined || !own.changes.has(key)) {
      return "";
    }
    return half.kept ? `${half.half_width} stays, as in the file` : `${half.half_width} of the file does not go with this value and is left out`;
  }

  function showFindings() {
    const own = state[shown];
    let beside = 0;
    for (const node of at("controls").querySelectorAll(".control")) {
      const found = own.findings.filter(f => f.section + "/" + f.key === node.dataset.key);
      beside += found.length;
      node.tell(found.map(f => f.message.replace(f.key + ": ", "")).join("; "), halfOf(own, node.dataset.key));
    }
    const fault = own.fault || "";
    const rest = own.findings.filter(f => f.section === null).map(f => f.message);
    tellFault(fault === "" ? "" : EARLIER.trim() + " " + (beside === 0 ? fault : rest.length > 0 ? rest.join("; ") : "The value marked at its control is not accepted."));
  }

  function tellFault(words) {
    at("stale").textContent = words;
    at("stale").hidden = words === "";
    at("one").classList.toggle("old", words !== "");
    at("tell").classList.toggle("old", words !== "");
    at("several").classList.toggle("old", words !== "");
  }

  async function saveFile() {
    const build = shown;
    let answer = null;
    try {
      answer = await ask("build-file", { build, changes: changesOf(build) });
    } catch (fault) {
      tellFault(wordsOf(fault));
      return;
    }
    if (!answer.ok) {
      tellFault((await answer.json()).error);
      return;
    }
    const link = make("a", { href: URL.createObjectURL(await answer.blob()), download: about.builds[build].download });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }

  // ---- one build -------------------------------------------------------------------------------------------

  let speaking = 0;
  function speak(words) {
    clearTimeout(speaking);
    speaking = setTimeout(() => { at("live").textContent = words; }, 500);
  }

  function figures(row) {
    const unit = row.unit === "" ? "" : " " + row.unit;
    const spare = row.spare.startsWith("-") ? `${row.spare.slice(1)}${unit} too much` : `${row.spare}${unit} to spare`;
    return [make("b", {}, row.value), ` of ${row.limit}${unit}, ${spare}, margin ${row.margin} %, worst at ${row.engine_rpm} rpm${row.on_map ? "" : "; rests on a point outside the map"}`];
  }

  function worstOf(verdicts) {
    const bad = ["exceeded", "close"].flatMap(word => verdicts.filter(v => v.verdict === word).map(v => `${WORDS[word]}: ${v.words} ${v.value} of ${v.limit} ${v.unit}`.trim()));
    return bad.length > 0 ? bad.join("; ") : "";
  }

  function tellResult(view, letter) {
    const worst = worstOf(view.verdicts);
    const word = ["exceeded", "close"].find(w => view.verdicts.some(v => v.verdict === w)) || "kept";
    at("tell").className = "tell " + (view.verdicts.length > 0 ? word : "") + (at("stale").hidden ? "" : " old");
    at("result").textContent = letter + view.result;
    at("worst").textContent = worst;
    speak(letter + view.result + ". " + worst);
  }

  function showHead() {
    const build = about.builds[shown];
    at("name").textContent = build.name;
    document.title = build.name + ", sweptline";
    const view = state[shown].answer ? state[shown].answer.view : null;
    at("of").textContent = `${build.unit}, ${build.kind}` + (view ? `; ${view.drive}; site ${view.site}; wide-open throttle` : "");
  }

  function mapWords(build, view) {
    const line = view.map.line;
    const outside = line.filter(p => !p.on_map).length;
    return `Operating line of ${build.name} on the map of ${build.unit}: from ${Math.round(line[0].engine_rpm)} to ${Math.round(line[line.length - 1].engine_rpm)} rpm, pressure ratio ${line[0].ratio.toFixed(2)} to ${line[line.length - 1].ratio.toFixed(2)}; ${outside} of ${line.length} points outside the map.`;
  }

  function mapKey(view, before) {
    const outside = view.map.line.some(p => !p.on_map) ? " Where it is dashed it has left the map's data, whose edge is held there." : "";
    return `Bands: adiabatic efficiency in %, light is good; thin dashes: blower speed, rpm. Thick line: the engine at wide-open throttle.${outside}${before ? " Dotted: as in the file." : ""} Red: limits, with strokes on the side where you must not be.`;
  }

  function curveWords(panel, view) {
    const told = panel.series.map(s => `${s.name} ${s.values[0] === null ? "-" : s.values[0].toFixed(panel.decimals)} to ${s.values[s.values.length - 1] === null ? "-" : s.values[s.values.length - 1].toFixed(panel.decimals)} ${panel.unit}`);
    return `${panel.title} from ${view.engine_rpm[0]} to ${view.engine_rpm[view.engine_rpm.length - 1]} rpm: ${told.join("; ")}.`;
  }

  // For each row of the line whether it lies on the map's data.
  const insideOf = view => view.map.line.map(p => p.on_map);

  // A figure for each panel, made once and drawn into.
  function figuresIn(holder, panels) {
    if (holder.children.length !== panels.length || [...holder.children].some((f, i) => f.dataset.title !== panels[i].title + panels[i].unit)) {
      holder.replaceChildren(...panels.map(p => make("figure", { "data-title": p.title + p.unit },
        make("figcaption", {}, make("b", {}, p.title), make("span", {}, `, ${p.unit}, over engine speed, rpm`)), make("div", {}))));
    }
    return [...holder.children].map(f => f.lastChild);
  }

  function showOne() {
    const own = state[shown];
    showHead();
    if (!own.answer) {
      return;
    }
    const view = own.answer.view;
    const build = about.builds[shown];
    const before = own.changes.size > 0 && own.plain && own.plain.view.flow.unit === view.flow.unit ? own.plain.view : null;
    tellResult(view, "");
    at("limits").replaceChildren(...view.verdicts.map(row => make("li", { class: row.verdict, "data-name": row.name },
      make("span", {}, row.words), make("span", { class: "word " + row.verdict }, WORDS[row.verdict] + (row.on_map ? "" : " *")),
      make("span", { class: "figures" }, ...figures(row)))));
    if (mapChart === null) {
      mapChart = Chart.MapChart(at("map"));
    }
    mapChart(about, shown, view, before, mapWords(build, view));
    at("map-key").textContent = mapKey(view, before);
    at("curves-key").hidden = insideOf(view).every(Boolean);
    const holders = figuresIn(at("curves"), view.panels);
    view.panels.forEach((panel, i) => {
      const ghosts = before && before.panels[i] ? before.panels[i].series.map(s => ({ xs: before.engine_rpm, values: s.values, ghost: true })) : [];
      const lines = panel.series.map((s, k) => ({ xs: view.engine_rpm, values: s.values, name: panel.series.length > 1 ? s.name : "", kind: k === 0 ? "a" : "b", inside: insideOf(view) }));
      Chart.curves(holders[i], panel, [...ghosts, ...lines], panel.limits, curveWords(panel, view));
    });
    at("notes-part").hidden = view.notes.length === 0;
    at("notes").replaceChildren(...view.notes.map(n => make("li", {}, n)));
    at("main").dataset.drawn = String(Number(at("main").dataset.drawn || 0) + 1);
  }

  // ---- several builds --------------------------------------------------------------------------------------

  function table(heads, rows) {
    return make("table", {}, make("thead", {}, make("tr", {}, ...heads.map(h => make("th", { scope: "col" }, h)))),
                make("tbody", {}, ...rows));
  }

  function showSeveral(view, fault) {
    if (view === null) {
      if (state[shown].fault === "" || state[shown].fault === undefined) {
        tellFault(EARLIER.trim() + " " + fault);
      }
      return;
    }
    if (!state[shown].fault) {
      tellFault("");
    }
    const letters = about.builds.map((b, i) => LETTERS[i]);
    at("name").textContent = about.builds.map((b, i) => `${LETTERS[i]}: ${labelOf(i)}`).join("; ");
    at("of").textContent = "Side by side";
    const results = view.builds.map((b, i) => `${LETTERS[i]}: ${b.view ? b.view.result : "NOT SOLVED"}`);
    const all = view.builds.flatMap(b => b.view ? b.view.verdicts : []);
    const word = ["exceeded", "close"].find(w => all.some(v => v.verdict === w)) || "kept";
    at("tell").className = "tell " + word + (at("stale").hidden ? "" : " old");
    at("result").textContent = results.join("; ");
    at("worst").textContent = "";
    speak(results.join("; "));
    at("letters").replaceChildren(...view.builds.flatMap((b, i) => [make("b", {}, LETTERS[i]), ` ${labelOf(i) === about.builds[i].unit ? b.name : labelOf(i)}: ${b.view ? `${b.view.drive}; site ${b.view.site}` + (b.solved_on_map ? "" : ", SOLVED OFF ITS MAP") : b.failure}`, make("br", {})]));
    at("summary").replaceChildren(...view.summary.map(n => make("li", {}, n.replace("--boost or --manifold-flow compares", "the field above compares"))));
    at("several-differ").replaceChildren(...[true, false].map(compared => {
      const rows = view.differences.filter(d => d.compared === compared);
      const title = compared ? "Unit and drive" : "What else differs";
      const none = compared ? "nothing: unit and drive are the same" : "nothing";
      return rows.length === 0 ? make("p", {}, make("b", {}, title), ": " + none)
        : table([title, ...letters], rows.map(d => make("tr", {}, make("th", { scope: "row" }, `[${d.section}] ${d.key}`), ...d.values.map(v => make("td", {}, v)))));
    }));
    at("several-limits").replaceChildren(table(["", ...letters], view.limits.map(row => make("tr", {}, make("th", { scope: "row" }, row.words),
      ...row.cells.map(c => make("td", {}, c.verdict === "" ? "-" : c.margin + (c.on_map ? " " : "* "), c.verdict === "" ? "" : make("span", { class: "word " + c.verdict }, WORDS[c.verdict])))))));
    const solved = view.builds.map((b, i) => ({ b, i })).filter(o => o.b.view);
    const key = solved.map(o => o.i).join();
    if (at("several-maps").dataset.key !== key) {
      at("several-maps").dataset.key = key;
      at("several-maps").replaceChildren(...solved.map(o => make("figure", {}, make("figcaption", {}, make("b", {}, LETTERS[o.i] + " "), labelOf(o.i)), make("div", {}))));
      compareCharts = [...at("several-maps").children].map(f => Chart.MapChart(f.lastChild));
    }
    solved.forEach((o, k) => compareCharts[k](about, o.i, o.b.view, null, mapWords(about.builds[o.i], o.b.view)));
    const panels = solved.length > 0 ? solved[0].b.view.panels : [];
    const split = panels.flatMap((p, i) => p.series.map((s, k) => ({ panel: p.series.length > 1 ? { ...p, title: `${p.title}, ${s.name}` } : p, i, k })));
    const holders = figuresIn(at("several-curves"), split.map(x => x.panel));
    split.forEach((x, n) => {
      const lines = solved.filter(o => o.b.view.panels[x.i]).map(o => ({ xs: o.b.view.engine_rpm, values: o.b.view.panels[x.i].series[x.k].values, name: LETTERS[o.i], kind: "abcdef"[o.i], inside: insideOf(o.b.view) }));
      const limits = x.panel.series.length > 1 ? x.panel.limits.slice(x.k, x.k + 1) : x.panel.limits;
      const words = solved.map(o => LETTERS[o.i] + ", " + curveWords({ ...x.panel, series: [o.b.view.panels[x.i].series[x.k]] }, o.b.view)).join(" ");
      Chart.curves(holders[n], x.panel, lines, x.panel.title.startsWith("Blower speed") ? [] : limits, words);
    });
    at("several-values").replaceChildren(...view.groups.map(g => table([g.title, ...letters], g.rows.map(row => make("tr", {}, make("th", { scope: "row" }, row.words + (row.unit ? ", " + row.unit : "")),
      ...row.cells.map(c => make("td", { class: c.best ? "best" : "" }, c.text + (c.on_map ? "" : "*") + (c.best ? " best" : ""))))))));
    at("several-notes").parentElement.hidden = view.notes.length === 0;
    at("several-notes").replaceChildren(...view.notes.map(n => make("li", {}, n)));
    at("main").dataset.compared = String(Number(at("main").dataset.compared || 0) + 1);
  }

  // ---- choosing --------------------------------------------------------------------------------------------

  function choose(value) {
    several = value === "all";
    if (!several) {
      shown = Number(value);
    }
    showControls();
    at("one").hidden = several;
    at("several").hidden = !several;
    changed();
  }

  function showDonors() {
    if (about.builds.length < 2) {
      return;
    }
    const radio = (value, words) => make("label", {}, make("input", { type: "radio", name: "donor", value, checked: value === String(shown) }), words);
    at("donors").append(...about.builds.map((b, i) => radio(String(i), `${LETTERS[i]} ${labelOf(i)}`)), radio("all", "Side by side"));
    at("donors").hidden = false;
    at("donors").addEventListener("change", event => choose(event.target.value));
  }

  async function start() {
    at("controls").addEventListener("submit", event => event.preventDefault());
    const answer = await ask("about");
    about = await answer.json();
    units = about.units;
    about.builds.forEach(() => state.push({ changes: new Map(), accepted: new Map(), answer: null, plain: null, findings: [], fault: "" }));
    recall();
    for (const radio of document.querySelectorAll("input[name=units]")) {
      radio.checked = radio.value === units;
      radio.addEventListener("change", () => { units = radio.value; changed(); });
    }
    at("caution").textContent = about.caution;
    at("version").textContent = `sweptline ${about.version}`;
    let writing = 0;
    at("same-boost").addEventListener("input", () => { clearTimeout(writing); writing = setTimeout(compare, 300); });
    showDonors();
    showControls();
    let width = window.innerWidth;
    window.addEventListener("resize", () => {
      if (window.innerWidth !== width) {
        width = window.innerWidth;
        if (several) { compare(); } else { showOne(); }
      }
    });
    changed();
  }

  start().catch(fault => tellFault(wordsOf(fault)));
})();
