"use strict";
// What moves on the page: a cursor that reads all histories at one time, zoom, and the numbers of a part
// where it is chosen. The page is right without it.
(() => {
  const root = document.documentElement;
  root.classList.add("with-script");
  window.addEventListener("beforeprint", () => {
    document.querySelectorAll("details").forEach((fold) => { fold.open = true; });
  });

  // By Tab the numbers of the part that is reached are shown, and the next Tab goes on from it; Escape shuts them.
  const cards = () => document.querySelectorAll(".card.shown");
  const hides = () => cards().forEach((card) => card.classList.remove("shown"));
  const leaves = () => {
    const place = [window.scrollX, window.scrollY];
    location.hash = "shut";
    window.scrollTo(...place);
  };
  document.addEventListener("focusin", (event) => {
    const link = event.target.closest("a.part:focus-visible");
    if (!link) return;
    hides();
    if (document.querySelector(".card:target")) leaves();
    document.querySelector(link.getAttribute("href")).classList.add("shown");
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    const chosen = document.querySelector(".card:target");
    if (chosen) {
      leaves();
      document.querySelector(`a.part[href="#${chosen.id}"]`)?.focus();
    }
    hides();
  });

  // A part's numbers are shown without a jump of the page; a second choice shuts them.
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a.part, a.shut");
    if (!link) return;
    hides();
    const place = [window.scrollX, window.scrollY];
    const shown = link.getAttribute("href");
    if (link.classList.contains("part") && location.hash !== shown) {
      event.preventDefault();
      location.hash = shown;
      window.scrollTo(...place);
      document.querySelector(shown).scrollIntoView({ block: "nearest" });
    } else {
      event.preventDefault();
      leaves();
    }
  });

  const holder = document.getElementById("data");
  if (!holder) return;
  const data = JSON.parse(holder.textContent);
  // Each row is told from the one before, in steps of the column.
  data.columns.forEach((column) => {
    let sum = 0;
    column.rows = column.rows.map((steps) => { sum += steps ?? 0; return steps === null ? null : sum * column.step; });
  });
  const [left, top, right, bottom] = data.plot;
  const end = data.times[data.times.length - 1];
  const plots = [...document.querySelectorAll("#histories svg[role=group]")];
  const reading = document.getElementById("reading");
  const space = "http://www.w3.org/2000/svg";
  let from = 0, to = end, at = null, last = null, dragged = null;

  const units = () => document.querySelector("input.units:checked").id;
  const clock = (s) => {
    const hours = Math.floor(s / 3600), minutes = Math.floor((s % 3600) / 60);
    const seconds = (s % 60).toFixed(1).padStart(4, "0");
    return hours ? `${hours}:${String(minutes).padStart(2, "0")}:${seconds}` : `${minutes}:${seconds}`;
  };
  // As the rest of the page writes them: temperatures to a tenth, all else to three digits.
  const shown = (column, number) => {
    if (number === null) return "\u2013";
    const [, factor, offset, symbol] = column.units.find((unit) => unit[0] === units());
    const value = number * factor + offset, size = Math.abs(value);
    const whole = size >= 1 ? Math.floor(Math.log10(size)) + 1 : 0;
    const zeros = size > 0 && size < 1 ? Math.max(0, -Math.floor(Math.log10(size)) - 1) : 0;
    const places = column.one ? 1 : size === 0 ? 0 : whole ? Math.max(0, 3 - whole) : 3 + Math.min(zeros, 8);
    return `${Number(value.toFixed(places))} ${symbol}`.replace("-", "\u2212");
  };
  const place = (s) => left + (right - left) * (s - from) / (to - from);
  const row = (s) => {
    let low = 0, high = data.times.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (data.times[middle] <= s) low = middle; else high = middle - 1;
    }
    const next = Math.min(low + 1, data.times.length - 1);
    return s - data.times[low] <= data.times[next] - s ? low : next;
  };

  const cursors = plots.map((plot) => {
    const line = document.createElementNS(space, "line");
    line.setAttribute("class", "cursor");
    line.setAttribute("y1", top);
    line.setAttribute("y2", bottom);
    line.style.display = "none";
    plot.append(line);
    return line;
  });

  const read = () => {
    cursors.forEach((line) => {
      const within = at !== null && at >= from && at <= to;
      line.style.display = within ? "" : "none";
      if (within) {
        line.setAttribute("x1", place(at));
        line.setAttribute("x2", place(at));
      }
    });
    reading.hidden = at === null;
    if (at === null) return;
    last = at;
    const k = row(at);
    const phase = data.phases.find(([, a, b]) => at >= a && at <= b);
    const near = data.events.filter(([s]) => Math.abs(s - at) <= (to - from) / 150);
    const head = document.createElement("b");
    head.textContent = [clock(data.times[k]), phase && phase[0], ...near.map(([, what]) => what)]
      .filter(Boolean).join(" \u00b7 ");
    const lines = data.columns.map((column) => {
      const line = document.createElement("span"), value = document.createElement("i");
      line.textContent = column.name;
      value.textContent = shown(column, column.rows[k]);
      value.className = "num";
      line.append(value);
      return line;
    });
    reading.replaceChildren(head, ...lines);
  };

  // The stretch that is looked at, row by row: the whole line is drawn with fewer points.
  const closer = (of) => {
    const [k, low, high] = of.split(" ").map(Number), rows = data.columns[k].rows;
    const first = Math.max(0, row(from) - 1), last = Math.min(data.times.length - 1, row(to) + 1);
    let d = "", drawn = false;
    for (let i = first; i <= last; i += 1) {
      if (rows[i] === null) { drawn = false; continue; }
      const x = left + (right - left) * data.times[i] / end, y = bottom + (top - bottom) * (rows[i] - low) / (high - low);
      d += `${drawn ? "L" : "M"}${x.toFixed(3)} ${y.toFixed(2)}`;
      drawn = true;
    }
    return d;
  };

  const STEPS = [0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 28800];
  const zoom = () => {
    plots.forEach((plot) => {
      const whole = (right - left) / end;
      const box = `${left + from * whole} ${top} ${(to - from) * whole} ${bottom - top}`;
      plot.querySelectorAll(".lens").forEach((lens) => lens.setAttribute("viewBox", box));
      const lens = plot.querySelector(".lens[data-of]"), line = lens.querySelector("path");
      line.dataset.d ??= line.getAttribute("d");
      line.setAttribute("d", to - from < end ? closer(lens.dataset.of) : line.dataset.d);
      plot.querySelectorAll(".moves path, .moves text").forEach((mark) => {
        mark.dataset.x ??= mark.getAttribute(mark.tagName === "path" ? "d" : "x");
        const seconds = (x) => (x - left) / whole;
        if (mark.tagName === "text") {
          const x = place(seconds(+mark.dataset.x));
          mark.setAttribute("x", x);
          mark.style.display = x > left && x < right ? "" : "none";
        } else {
          const [, x, rest] = mark.dataset.x.match(/^M([-\d.]+)(.*)$/);
          const moved = place(seconds(+x));
          mark.setAttribute("d", `M${moved}${rest}`);
          mark.style.display = moved >= left && moved <= right ? "" : "none";
        }
      });
      const times = plot.querySelector(".times");
      const step = STEPS.find((known) => known >= (to - from) / 8) ?? 86400;
      times.replaceChildren();
      for (let s = Math.ceil(from / step) * step; s <= to; s += step) {
        const line = document.createElementNS(space, "line"), text = document.createElementNS(space, "text");
        const marks = { x1: place(s), x2: place(s), y1: top, y2: bottom, class: "grid" };
        Object.entries(marks).forEach(([name, value]) => line.setAttribute(name, value));
        const words = { x: place(s), y: bottom + 14, "font-size": 10, "text-anchor": "middle", class: "num" };
        Object.entries(words).forEach(([name, value]) => text.setAttribute(name, value));
        text.textContent = step < 1 ? clock(s) : clock(s).replace(/\.\d$/, "");
        times.append(line, text);
      }
    });
    read();
  };
  const look = (a, b) => {
    const span = Math.max(b - a, end / 2000);
    from = Math.max(0, Math.min(a, end - span));
    to = Math.min(end, from + span);
    zoom();
  };

  const seconds = (plot, event) => {
    const box = plot.getBoundingClientRect();
    const x = (event.clientX - box.left) * plot.viewBox.baseVal.width / box.width;
    return Math.min(end, Math.max(0, from + (to - from) * (x - left) / (right - left)));
  };
  plots.forEach((plot) => {
    const sheet = plot.closest(".sheet");
    plot.addEventListener("pointermove", (event) => { at = seconds(plot, event); read(); });
    plot.addEventListener("pointerleave", () => { if (document.activeElement !== sheet) { at = null; read(); } });
    plot.addEventListener("pointerdown", (event) => { if (event.pointerType === "mouse") dragged = seconds(plot, event); });
    plot.addEventListener("pointerup", (event) => {
      const there = seconds(plot, event);
      if (dragged !== null && Math.abs(there - dragged) > (to - from) / 50) {
        look(Math.min(dragged, there), Math.max(dragged, there));
      }
      dragged = null;
    });
    plot.addEventListener("dblclick", () => look(0, end));
    sheet.addEventListener("blur", () => { at = null; read(); });
    sheet.addEventListener("keydown", (event) => {
      const middle = at ?? (from + to) / 2, half = (to - from) / 2;
      const step = (to - from) / (event.shiftKey ? 10 : 100);
      if (event.key === "ArrowLeft") at = Math.max(from, middle - step);
      else if (event.key === "ArrowRight") at = Math.min(to, middle + step);
      else if (event.key === "+") look(middle - half / 2, middle + half / 2);
      else if (event.key === "-") look(middle - half * 2, middle + half * 2);
      else if (event.key === "0") look(0, end);
      else if (event.key === "Escape") at = null;
      else return;
      event.preventDefault();
      read();
    });
  });
  document.querySelectorAll("[data-look]").forEach((button) => button.addEventListener("click", () => {
    const middle = last ?? (from + to) / 2, half = (to - from) / 2;
    if (button.dataset.look === "in") look(middle - half / 2, middle + half / 2);
    else if (button.dataset.look === "out") look(middle - half * 2, middle + half * 2);
    else look(0, end);
  }));
  document.querySelectorAll("input.units").forEach((input) => input.addEventListener("change", read));
})();
