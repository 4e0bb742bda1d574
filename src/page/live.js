"use strict";
// Numbers that move: sliders ask the solver that this page holds. It runs beside the page, once for points and once for
// cycles, and what it says is put where it belongs. The words are its own; nothing is worked out here but places.
(() => {
  const section = document.getElementById("live");
  const data = JSON.parse(document.getElementById("live-data").textContent);
  const told = document.getElementById("live-told");
  const space = "http://www.w3.org/2000/svg";
  const units = () => document.querySelector("input.units:checked").id;

  // What runs beside the page. It sees none of what stands here.
  const work = () => {
    const writes = new TextEncoder(), reads = new TextDecoder();
    let solver = null;
    const ask = (request) => {
      const bytes = writes.encode(JSON.stringify(request));
      const at = solver.coolwright_room(bytes.length);
      new Uint8Array(solver.memory.buffer, at, bytes.length).set(bytes);
      const long = solver.coolwright_ask();
      return JSON.parse(reads.decode(new Uint8Array(solver.memory.buffer, solver.coolwright_answer(), long)));
    };
    const unpacked = async (packed) => {
      // Its length, a blank, then two signs for thirteen bits: from # to ~, without the <.
      const at = packed.indexOf(" ") + 1, bytes = new Uint8Array(+packed.slice(0, at));
      const sign = (k) => { const code = packed.charCodeAt(k); return code - (code < 60 ? 35 : 36); };
      for (let k = at, to = 0, bits = 0, count = 0; to < bytes.length; k += 2) {
        bits = bits << 13 | sign(k) * 91 + sign(k + 1);
        for (count += 13; count >= 8; count -= 8) {
          bytes[to] = bits >> count - 8;
          to += 1;
        }
        bits &= (1 << count) - 1;
      }
      const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
      return WebAssembly.compile(await new Response(stream).arrayBuffer());
    };
    onmessage = async ({ data: { packed, module, request } }) => {
      try {
        if (packed || module) {
          const made = module ?? await unpacked(packed);
          solver = (await WebAssembly.instantiate(made, {})).exports;
          const reply = ask(request);
          // A browser makes quick what has run some times.
          for (let k = 0; k < 8 && !reply.refused; k += 1) ask({ do: "point", changes: [] });
          postMessage({ made, reply });
          return;
        }
        const from = performance.now(), reply = ask(request);
        let numbers = null;
        if (reply.columns) {
          const all = new Float64Array(solver.memory.buffer, solver.coolwright_numbers(), solver.coolwright_count());
          numbers = all.slice();
        }
        postMessage({ reply, numbers, took: performance.now() - from }, numbers ? [numbers.buffer] : []);
      } catch (error) {
        postMessage({ stopped: String(error) });
      }
    };
  };

  const fails = (why) => {
    section.dataset.state = "fails";
    told.textContent = `This browser does not run the solver (${why}). All else on this page stands.`;
  };

  // Asks one question at a time; of those that come meanwhile only the last is asked.
  class Asks {
    constructor(shows) {
      Object.assign(this, { shows, worker: null, ready: false, busy: false, next: null, made: null });
    }
    wakes(packed, module, opened) {
      const url = URL.createObjectURL(new Blob([`(${work})()`], { type: "text/javascript" }));
      this.worker = new Worker(url);
      this.worker.onerror = (event) => { event.preventDefault(); fails("nothing may run beside a page"); };
      this.worker.onmessage = ({ data: said }) => {
        if (said.made) {
          this.ready = true;
          this.made = said.made;
          opened(said);
        } else if (said.stopped) {
          this.worker.terminate();
          Object.assign(this, { ready: false, busy: false });
          if (!this.made) { fails(said.stopped); return; }
          this.shows(said);
          // What stopped is made anew, as it may hold anything now.
          if (this.made) this.wakes(null, this.made, () => this.goes());
          return;
        } else {
          this.busy = false;
          this.shows(said, this.asked);
        }
        this.goes();
      };
      const request = { do: "open", texts: data.texts, units: data.units };
      this.worker.postMessage({ packed, module, request });
    }
    ask(request) {
      this.next = request;
      this.goes();
    }
    goes() {
      if (!this.ready || this.busy || !this.next) return;
      this.asked = this.next;
      this.next = null;
      this.busy = true;
      this.worker.postMessage({ request: this.asked });
    }
    get rests() {
      return this.ready && !this.busy && !this.next;
    }
  }

  const place = { point: document.getElementById("live-point"), cycle: document.getElementById("live-cycle") };
  const strip = { point: document.getElementById("live-word-point"), cycle: document.getElementById("live-word-cycle") };
  const lines = document.getElementById("live-lines");
  let own = null;

  // The histories of what a limit is on: as moved, and as the file has it.
  const traced = (reply, numbers, asked) => {
    const count = numbers[0], times = numbers.subarray(1, 1 + count);
    const column = (k) => numbers.subarray(1 + count * (k + 1), 1 + count * (k + 2));
    const now = { times, end: times[count - 1], of: Object.fromEntries(reply.columns.map((name, k) => [name, column(k)])) };
    if (!asked.changes.length) own = now;
    place.cycle.querySelectorAll("li[data-of]").forEach((row) => {
      const of = row.dataset.of, bound = +row.dataset.bound, trace = row.querySelector(".trace");
      const both = [["own", own !== now && own], ["now", now]].filter(([, all]) => all && all.of[of]);
      if (!both.length) { trace.remove(); return; }
      let least = bound, most = bound;
      both.forEach(([, all]) => all.of[of].forEach((y) => {
        if (Number.isFinite(y)) { least = Math.min(least, y); most = Math.max(most, y); }
      }));
      const end = Math.max(...both.map(([, all]) => all.end));
      const x = (s) => (300 * s / end).toFixed(1), y = (v) => (41 - 38 * (v - least) / (most - least || 1)).toFixed(1);
      const drawn = (all) => {
        let path = "", pen = "M";
        all.times.forEach((s, k) => {
          const v = all.of[of][k];
          if (Number.isFinite(v)) { path += `${pen}${x(s)} ${y(v)}`; pen = "L"; } else pen = "M";
        });
        return path;
      };
      const put = (name, path) => {
        const line = document.createElementNS(space, "path");
        line.setAttribute("class", name);
        line.setAttribute("d", path);
        trace.append(line);
      };
      put("limit", `M0 ${y(bound)}L300 ${y(bound)}`);
      both.forEach(([name, all]) => put(name, drawn(all)));
    });
  };

  const rests = () => {
    const all = points.rests && (!data.cycle || cycles.rests) && !waiting.length;
    section.dataset.state = all ? "rest" : "busy";
  };
  const shows = (about) => ({ reply, numbers, took, stopped }, asked) => {
    place[about].classList.toggle("waits", !(about === "cycle" ? cycles : points).rests);
    if (stopped) {
      section.dataset.state = "stopped";
      told.textContent = `The solver stopped (${stopped}): take the last change back.`;
      return;
    }
    place[about].innerHTML = reply.markup;
    place[about].dataset.took = took.toFixed(2);
    strip[about].innerHTML = reply.strip ?? "<b class=\"open\">NOT SOLVED</b>";
    if (numbers && !reply.refused) traced(reply, numbers, asked);
    if (about === "point") {
      place.point.dataset.answer = reply.answer ? JSON.stringify(reply.answer.sections) : "";
      lines.hidden = !changes().length || Boolean(reply.refused);
      if (!reply.refused) {
        document.getElementById("live-changed").innerHTML = reply.changed;
        document.getElementById("live-variant").textContent = reply.variant;
        follow(asked, reply.numbers);
      }
    }
    rests();
    if (section.dataset.state !== "rest") return;
    told.textContent = "";
    // What is hidden, as other units, is not read out.
    document.getElementById("live-spoken").textContent = section.querySelector(".strip").innerText;
  };
  const points = new Asks(shows("point")), cycles = new Asks(shows("cycle"));

  // Sliders: what each is moved to, as the file would write it; nothing where it stands as in the file.
  const sliders = data.sliders.map((slider, k) => {
    const range = document.getElementById(`move-${k}`), box = document.getElementById(`type-${k}`);
    const holder = range.closest(".slider");
    return { ...slider, range, box, holder, back: holder.querySelector(".back"), ends: slider.range, si: slider.now, text: null };
  });
  const changes = () => sliders.flatMap(({ at, text }) => text === null ? [] : at.map((address) => [address, text]));
  const unit = (slider) => {
    const [, factor, offset, symbol] = slider.units.find(([id]) => id === units());
    const inUnit = (si) => si * factor + offset;
    const [low, high] = slider.ends.map(inUnit).sort((a, b) => a - b);
    const rough = (high - low) / 200, power = 10 ** Math.floor(Math.log10(rough));
    const step = slider.whole ? 1 : [1, 2, 5, 10].find((round) => round * power >= rough * 0.999) * power;
    return { inUnit, symbol, low, high, step, si: (number) => (number - offset) / factor };
  };
  const digits = (number) => String(Number(number.toPrecision(5))).replace("-", "\u2212");
  const draw = (slider) => {
    const { inUnit, symbol, low, high, step } = unit(slider);
    const { range, box, holder, back, si, text } = slider;
    Object.assign(range, { min: low, max: high, step: "any", value: inUnit(si) });
    const number = digits(inUnit(si));
    range.setAttribute("aria-valuetext", `${number} ${symbol}`.trim());
    box.setAttribute("aria-label", `value of ${slider.at[0]}${symbol && ` in ${symbol}`}`);
    if (document.activeElement !== box) box.value = number;
    holder.querySelector(".unit").textContent = symbol;
    holder.classList.toggle("moved-off", text !== null);
    back.disabled = text === null;
    return { low, high, step };
  };
  const written = (number, symbol) => {
    const plain = String(number);
    return symbol ? `"${plain} ${symbol}"` : plain;
  };
  // A number of the reader's unit, on a round step; as in the file where that is next to it.
  const move = (slider, number, rounds) => {
    const { inUnit, symbol, low, high, step, si } = unit(slider);
    const places = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
    const round = rounds ? Number((Math.round(number / step) * step).toFixed(places)) : number;
    const kept = rounds ? Math.min(high, Math.max(low, round)) : round;
    const near = Math.abs(kept - inUnit(slider.now)) < (rounds ? 0.75 : 1e-9) * step;
    slider.text = near ? null : written(kept, symbol);
    slider.si = near ? slider.now : si(kept);
    draw(slider);
    solve();
  };
  // Where a value was typed with a unit of its own the solver says what it comes to.
  const follow = (asked, numbers) => {
    asked.changes.forEach(([address, text], k) => {
      const slider = sliders.find((one) => one.at.includes(address) && one.text === text);
      if (slider && numbers[k] !== null) { slider.si = numbers[k]; draw(slider); }
    });
  };

  let waiting = [];
  const later = (after, what) => {
    const timer = setTimeout(() => { waiting = waiting.filter((one) => one !== timer); what(); rests(); }, after);
    waiting.push(timer);
  };
  const solve = () => {
    wake();
    waiting.forEach(clearTimeout);
    waiting = [];
    const all = changes();
    section.dataset.state = "busy";
    points.ask({ do: "point", changes: all });
    if (data.cycle) {
      place.cycle.classList.add("waits");
      // One that takes long waits until nothing moves, so that it does not slow what does.
      const follows = () => cycles.ask({ do: "cycle", changes: changes() });
      if (+(place.cycle.dataset.took ?? 0) < 300) follows(); else later(150, follows);
    }
    // What it may be off by is worked out when nothing moves any more.
    later(250, () => points.ask({ do: "whole", changes: changes() }));
  };

  let awake = false;
  const wake = () => {
    if (awake) return;
    awake = true;
    told.textContent = "The solver is being made ready \u2026";
    try {
      points.wakes(document.getElementById("live-solver").textContent, null, ({ made, reply }) => {
        if (reply.refused) { told.textContent = reply.refused; return; }
        told.textContent = "Ready.";
        if (!points.next) solve();
        if (!data.cycle) return;
        cycles.wakes(null, made, () => {
          // The case as its file has it comes first, as what is moved is drawn over it.
          const wanted = cycles.next;
          cycles.ask({ do: "cycle", changes: [] });
          if (wanted && wanted.changes.length) cycles.next = wanted;
        });
      });
    } catch (error) {
      fails(error);
    }
  };

  sliders.forEach((slider) => {
    const { range, box, back } = slider;
    draw(slider);
    range.addEventListener("input", () => move(slider, +range.value, true));
    range.addEventListener("keydown", (event) => {
      const { low, high, step, inUnit } = unit(slider);
      const at = inUnit(slider.si);
      const to = {
        ArrowLeft: at - step, ArrowDown: at - step, ArrowRight: at + step, ArrowUp: at + step,
        PageDown: at - 10 * step, PageUp: at + 10 * step, Home: low, End: high,
      }[event.key];
      if (to === undefined) return;
      event.preventDefault();
      move(slider, to, true);
    });
    box.addEventListener("change", () => {
      const typed = box.value.trim().replace("\u2212", "-"), number = Number(typed.replace(",", "."));
      if (typed === "") { back.click(); return; }
      if (Number.isFinite(number)) { move(slider, number, false); return; }
      slider.text = `"${typed.replaceAll("\\", "").replaceAll("\"", "")}"`;
      draw(slider);
      solve();
    });
    box.addEventListener("blur", () => draw(slider));
    back.addEventListener("click", () => {
      Object.assign(slider, { text: null, si: slider.now });
      draw(slider);
      solve();
      range.focus();
    });
  });
  document.getElementById("live-reset").addEventListener("click", () => {
    sliders.forEach((slider) => { Object.assign(slider, { text: null, si: slider.now }); draw(slider); });
    solve();
  });
  document.querySelectorAll("input.units").forEach((input) => input.addEventListener("change", () => sliders.forEach(draw)));
  document.getElementById("live-copy").addEventListener("click", () => {
    const all = document.getElementById("live-variant");
    window.getSelection().selectAllChildren(all);
    navigator.clipboard?.writeText(all.textContent).catch(() => {});
  });
  // A link can move numbers: page.html#try=ADDRESS=VALUE;ADDRESS=VALUE
  const tried = () => {
    if (!location.hash.startsWith("#try=")) return;
    decodeURIComponent(location.hash.slice(5)).split(";").forEach((pair) => {
      const at = pair.indexOf("="), slider = sliders.find((one) => one.at.includes(pair.slice(0, at)));
      if (!slider) return;
      slider.box.value = pair.slice(at + 1);
      slider.box.dispatchEvent(new Event("change"));
    });
  };
  window.addEventListener("hashchange", tried);
  if ("IntersectionObserver" in window) {
    new IntersectionObserver((seen) => { if (seen.some((one) => one.isIntersecting)) wake(); }, { rootMargin: "400px" })
      .observe(section);
  }
  tried();
})();
