// Look into a drawing: two fingers, a drag, the wheel or keys; a line of the list shows its wire; ticks stay on this device.
//
// A drawing is  [data-drawing] > .sight > svg[viewBox], in a [data-loom] together with its list, whose lines have
// data-wire. Everything hangs on the document, so a drawing may be put in, replaced or changed at any time.
(() => {
  "use strict";
  if (document.documentElement.dataset.drawingReader) return; // loaded before
  document.documentElement.dataset.drawingReader = "on"; // what shows the buttons, by sheet.css

  const CLOSEST = 12; // times as large as the whole
  const whole = new WeakMap(); // svg -> its own viewBox
  const fingers = new Map(); // pointer -> where it is
  const svgOf = (element) => element?.closest?.("[data-drawing]")?.querySelector(".sight > svg");

  const boxOf = (svg) => {
    const { x, y, width, height } = svg.viewBox.baseVal;
    if (!whole.has(svg)) whole.set(svg, { x, y, width, height });
    return { x, y, width, height };
  };
  // Never beyond the edges of the drawing, nor smaller than all of it.
  const look = (svg, to) => {
    boxOf(svg);
    const all = whole.get(svg);
    const width = Math.min(all.width, Math.max(all.width / CLOSEST, to.width));
    const height = (width * all.height) / all.width;
    const x = Math.min(all.x + all.width - width, Math.max(all.x, to.x));
    const y = Math.min(all.y + all.height - height, Math.max(all.y, to.y));
    svg.setAttribute("viewBox", `${x} ${y} ${width} ${height}`);
    svg.closest("[data-drawing]").toggleAttribute("data-close", width < all.width * 0.999);
  };
  // What lies under a place of the screen stays there.
  const zoom = (svg, times, at) => {
    const box = boxOf(svg);
    const seen = svg.getBoundingClientRect();
    const share = at ? [(at.x - seen.x) / seen.width, (at.y - seen.y) / seen.height] : [0.5, 0.5];
    const all = whole.get(svg);
    const width = Math.min(all.width, Math.max(all.width / CLOSEST, box.width / times));
    const height = (width * all.height) / all.width;
    look(svg, { x: box.x + share[0] * (box.width - width), y: box.y + share[1] * (box.height - height), width });
  };
  const move = (svg, dx, dy) => {
    const box = boxOf(svg);
    look(svg, { ...box, x: box.x + dx * box.width, y: box.y + dy * box.height });
  };

  const keys = {
    "+": (svg) => zoom(svg, 1.4), "=": (svg) => zoom(svg, 1.4), "-": (svg) => zoom(svg, 1 / 1.4),
    0: (svg) => zoom(svg, 0.001),
    ArrowLeft: (svg) => move(svg, -0.15, 0), ArrowRight: (svg) => move(svg, 0.15, 0),
    ArrowUp: (svg) => move(svg, 0, -0.15), ArrowDown: (svg) => move(svg, 0, 0.15),
  };
  document.addEventListener("keydown", (event) => {
    if (!event.target.matches?.(".sight") || event.ctrlKey || event.metaKey || event.altKey || !keys[event.key]) return;
    event.preventDefault();
    keys[event.key](svgOf(event.target));
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("[data-zoom]");
    if (button) keys[button.dataset.zoom](svgOf(button));
  });

  // The wheel scrolls the page until the drawing was entered, or with Ctrl, as two fingers on a pad come.
  document.addEventListener("wheel", (event) => {
    const sight = event.target.closest?.(".sight");
    if (!sight || !(event.ctrlKey || sight === document.activeElement)) return;
    event.preventDefault();
    zoom(svgOf(sight), Math.exp(-event.deltaY / 400), { x: event.clientX, y: event.clientY });
  }, { passive: false });

  const isClose = (sight) => sight.parentElement.hasAttribute("data-close");
  document.addEventListener("touchstart", (event) => {
    const sight = event.target.closest?.(".sight");
    if (sight && event.touches.length > 1) event.preventDefault(); // else the browser takes the fingers for its own
  }, { passive: false });
  document.addEventListener("pointerdown", (event) => {
    if (event.target.closest?.(".sight") && event.button === 0) fingers.set(event.pointerId, event);
  });
  document.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    const sight = before?.target.closest(".sight");
    if (!sight) return;
    const svg = svgOf(sight);
    const seen = svg.getBoundingClientRect();
    if (fingers.size > 1) {
      const other = [...fingers.values()].find((one) => one.pointerId !== event.pointerId);
      const apart = (one) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
      const middle = { x: (event.clientX + other.clientX) / 2, y: (event.clientY + other.clientY) / 2 };
      zoom(svg, apart(event) / Math.max(1, apart(before)), middle);
    }
    if (isClose(sight)) {
      const share = 1 / fingers.size;
      move(svg, (share * (before.clientX - event.clientX)) / seen.width, (share * (before.clientY - event.clientY)) / seen.height);
    }
    fingers.set(event.pointerId, event);
  });
  for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, (event) => fingers.delete(event.pointerId));

  // A line of the list and its wire on the drawing, either way round; a broken rule shows every wire it speaks of.
  const show = (from, lit) => {
    const line = from?.closest?.("[data-wire], [data-wires]");
    const loom = line?.closest("[data-loom]");
    if (!loom) return;
    for (const one of loom.querySelectorAll(".lit")) one.classList.remove("lit");
    if (!lit) return;
    const wires = new Set((line.dataset.wires ?? line.dataset.wire).split(" "));
    for (const one of loom.querySelectorAll("[data-wire]")) one.classList.toggle("lit", wires.has(one.dataset.wire));
  };
  for (const [event, lit] of [["pointerover", true], ["focusin", true], ["click", true], ["pointerout", false]]) {
    document.addEventListener(event, ({ target }) => show(target, lit));
  }

  // Ticks of the job and state that are shown; those of an older state of the same job are dropped.
  const kept = (list) => {
    try { return new Set(JSON.parse(localStorage.getItem(list.dataset.ticks) ?? "[]")); } catch { return new Set(); }
  };
  const ticked = () => {
    for (const list of document.querySelectorAll("[data-ticks]")) {
      const done = kept(list);
      for (const box of list.querySelectorAll("input[type=checkbox]")) box.checked = done.has(box.value);
    }
  };
  document.addEventListener("change", (event) => {
    const list = event.target.closest?.("[data-ticks]");
    if (!list) return;
    const [job, revision] = list.dataset.ticks.split("/");
    const done = [...list.querySelectorAll("input:checked")].map((box) => box.value);
    try {
      for (const key of Object.keys(localStorage)) {
        if (key.startsWith(`${job}/`) && !key.startsWith(`${job}/${revision}/`)) localStorage.removeItem(key);
      }
      localStorage.setItem(list.dataset.ticks, JSON.stringify(done));
    } catch { /* a private window keeps nothing */ }
  });
  document.addEventListener("click", (event) => { if (event.target.closest?.("[data-print]")) window.print(); });
  // Paper shows all of a drawing.
  window.addEventListener("beforeprint", () => {
    for (const svg of document.querySelectorAll("[data-close] .sight > svg")) keys[0](svg);
  });
  document.addEventListener("DOMContentLoaded", ticked);
  document.addEventListener("htmx:after:swap", ticked);
})();
