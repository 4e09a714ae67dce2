// Read a chart: a finger, a mouse or the arrow keys choose a speed, and all lines are read out at it.
//
// A chart is  figure[data-chart] > svg, input[type=range], output, script[type="application/json"].
// The numbers are those the chart was drawn from (documents/chart_reader.py). Everything hangs on the document, so a
// figure may be put in, replaced or changed at any time.
(() => {
  "use strict";
  if (document.documentElement.dataset.chartReader) return; // loaded before
  document.documentElement.dataset.chartReader = "on"; // what shows the slider, by chart.css

  const SVG = "http://www.w3.org/2000/svg";
  const read = new WeakMap(); // figure -> its text of numbers and what that says

  const numbersOf = (figure) => {
    const text = figure.querySelector('script[type="application/json"]')?.textContent ?? "";
    let known = read.get(figure);
    if (known?.text !== text) {
      try {
        known = { text, numbers: JSON.parse(text) };
      } catch {
        known = { text, numbers: null };
      }
      read.set(figure, known);
    }
    return known.numbers;
  };

  // Between its points a line is straight, beyond them level.
  const valueAt = (x, values, at) => {
    let right = x.findIndex((each) => each > at);
    right = Math.max(1, right < 0 ? x.length - 1 : right);
    const share = Math.min(1, Math.max(0, (at - x[right - 1]) / (x[right] - x[right - 1])));
    return values[right - 1] + share * (values[right] - values[right - 1]);
  };

  // Lines of any kind over minutes: each with its unit, and with its band where it has one.
  const wordsOfRide = (numbers, minute) => {
    const parts = numbers.lines.map((line) => {
      const at = (values) => valueAt(numbers.x, values, minute).toFixed(line.decimals);
      const unit = line.unit ? ` ${line.unit}` : "";
      return `${line.name} ${at(line.values)}${unit}${line.low.length ? ` (${at(line.low)} to ${at(line.high)})` : ""}`;
    });
    return `After ${minute.toFixed(1)} min: ${parts.join("; ")}`;
  };

  const wordsAt = (numbers, speed) => {
    if (numbers.lines) return wordsOfRide(numbers, speed);
    const at = (values) => valueAt(numbers.x, values, speed);
    const amps = (value) => value.toFixed(1);
    const said = (value) => Number(amps(value)); // what is over is the difference of the figures said
    const road = (speed * numbers.road_speed_per_1000_rpm) / 1000;
    const parts = numbers.outputs.map(
      (line) => `${line.name} ${amps(at(line.values))} A (${amps(at(line.low))} to ${amps(at(line.high))})`,
    );
    for (const demand of numbers.demands) {
      const needed = said(at(demand.values));
      const against = numbers.outputs.map((line) => {
        const surplus = said(at(line.values)) - needed;
        const name = numbers.outputs.length > 1 ? `${line.name} ` : "";
        return name + (surplus > -0.05 ? `over by ${amps(Math.abs(surplus))} A` : `short by ${amps(-surplus)} A`);
      });
      parts.push(`${demand.name} ${amps(needed)} A, ${against.join(", ")}`);
    }
    const roadWords = road > 0 ? `, ${road.toFixed(0)} ${numbers.road_speed_unit}` : "";
    return `${speed.toFixed(0)} ${numbers.x_unit}${roadWords}: ${parts.join("; ")}`;
  };

  const drawHair = (figure, numbers, speed) => {
    const svg = figure.querySelector("svg");
    if (!svg) return;
    let hair = svg.querySelector("line[data-hair]");
    if (!hair) {
      hair = document.createElementNS(SVG, "line");
      for (const [name, value] of Object.entries({
        "data-hair": "", stroke: "#1d2b36", "stroke-width": 1, "pointer-events": "none",
        y1: numbers.top, y2: numbers.top + numbers.height,
      })) hair.setAttribute(name, value);
      svg.append(hair);
    }
    const first = numbers.x[0];
    const along = (speed - first) / (numbers.x.at(-1) - first);
    hair.setAttribute("x1", numbers.left + along * numbers.width);
    hair.setAttribute("x2", numbers.left + along * numbers.width);
  };

  const show = (figure, wanted) => {
    const numbers = numbersOf(figure);
    const slider = figure.querySelector('input[type="range"]');
    if (!numbers || !slider) return;
    slider.value = wanted; // the slider's own ends and steps hold it
    const speed = Number(slider.value);
    const words = wordsAt(numbers, speed);
    slider.setAttribute("aria-valuetext", words);
    const output = figure.querySelector("output");
    if (output) output.textContent = words.replace(/(\d) /g, "$1\u00a0"); // a figure keeps its unit on its line
    drawHair(figure, numbers, speed);
  };

  const pointed = (event) => {
    const svg = event.target.closest?.("figure[data-chart] svg");
    const figure = svg?.closest("figure");
    const numbers = figure && numbersOf(figure);
    const onScreen = svg?.getScreenCTM();
    if (!numbers || !onScreen) return;
    // The picture may be shown smaller than it was drawn.
    const place = new DOMPoint(event.clientX, event.clientY).matrixTransform(onScreen.inverse());
    const along = Math.min(1, Math.max(0, (place.x - numbers.left) / numbers.width));
    show(figure, numbers.x[0] + along * (numbers.x.at(-1) - numbers.x[0]));
  };

  const slid = (event) => {
    const figure = event.target.closest?.("figure[data-chart]");
    if (figure && event.target.type === "range") show(figure, event.target.value);
  };

  document.addEventListener("pointerdown", pointed);
  document.addEventListener("pointermove", pointed);
  document.addEventListener("input", slid);
  document.addEventListener("focusin", slid);
})();
