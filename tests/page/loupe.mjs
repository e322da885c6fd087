// Loupe views measured back: their mean in linear light is the printed colour; angle, ruling and area of every ink's dots are
// those that the page says.

import assert from "node:assert/strict";
import { channels, deltaE, labOfLinear, linear } from "./colour.mjs";

/** Pixels along an edge. */
const DRAWN = 900;
/** Pixels along an edge for the search of the angle. */
const COARSE = 180;
/** Field of view, mm, as docs/report.md says. */
const FIELD = 1.5;

export async function checkLoupes(browser, file) {
  const context = await browser.newContext({ viewport: { width: DRAWN, height: DRAWN } });
  const page = await context.newPage();
  await page.goto(`file://${file}`);
  const views = await page.evaluate(() => [...document.querySelectorAll("svg.loupe")].map((svg) => svg.outerHTML));
  assert.ok(views.length > 0, "there are loupe views");
  const found = { views: views.length, inks: 0, worst: 0 };
  for (const view of views) await checkView(page, view, found);
  await context.close();
  return found;
}

async function checkView(page, view, found) {
  await page.setContent(`<body style="margin:0">${view}</body>`);
  const { mean, inks, ruling } = await page.evaluate((size) => {
    const svg = document.querySelector("svg");
    svg.style.cssText = `display:block;width:${size}px;height:${size}px`;
    const inks = [...svg.querySelectorAll("pattern")].map((pattern) => ({
      mask: pattern.id.replace(/p(\d+)$/, "m$1"), angle: Number(pattern.dataset.angle), area: Number(pattern.dataset.area),
    }));
    return { mean: svg.dataset.srgb, inks, ruling: Number(svg.dataset.ruling) };
  }, DRAWN);
  const picture = await pixels(page);
  const light = [0, 0, 0];
  for (let at = 0; at < picture.length; at += 4) for (let c = 0; c < 3; c += 1) light[c] += linear(picture[at + c]);
  const wanted = labOfLinear(channels(mean).map(linear));
  const off = deltaE(wanted, labOfLinear(light.map((sum) => sum / (picture.length / 4))));
  assert.ok(off <= 2, `a view that should look like ${mean} is ${off.toFixed(2)} ΔE00 off`);
  found.worst = Math.max(found.worst, off);
  for (const ink of inks) {
    await checkInk(page, ink, ruling);
    found.inks += 1;
  }
}

/** White where the ink lies, black elsewhere: the same geometry, measured. */
async function checkInk(page, ink, ruling) {
  await page.evaluate((mask) => {
    for (const rect of document.querySelectorAll("svg > rect, svg g rect")) {
      let inked = false;
      for (let up = rect.parentElement; up.tagName === "g"; up = up.parentElement) {
        inked ||= up.getAttribute("mask") === `url(#${mask})`;
      }
      rect.setAttribute("fill", inked ? "#fff" : "#000");
    }
  }, ink.mask);
  const picture = await pixels(page);
  let inked = 0;
  for (let at = 0; at < picture.length; at += 4) inked += picture[at] / 255;
  const area = inked / (picture.length / 4);
  assert.ok(Math.abs(area - ink.area) < 0.012, `${ink.mask}: dots cover ${area}, not ${ink.area}`);
  const [angle, lines] = grid(picture, ruling);
  const turned = Math.abs(((angle - ink.angle + 45 + 90) % 90) - 45);
  assert.ok(turned < 1, `${ink.mask}: dots lie at ${angle}°, not ${ink.angle}°`);
  assert.ok(Math.abs(lines - ruling) / ruling < 0.03, `${ink.mask}: ${lines} lines/cm, not ${ruling}`);
}

/** Angle (counted against the clock) and lines per cm of the strongest wave near the ruling. */
function grid(picture, ruling) {
  const step = DRAWN / COARSE;
  const values = new Float64Array(COARSE * COARSE);
  for (let y = 0; y < DRAWN; y += 1) {
    for (let x = 0; x < DRAWN; x += 1) {
      values[Math.floor(y / step) * COARSE + Math.floor(x / step)] += picture[4 * (y * DRAWN + x)] / (255 * step * step);
    }
  }
  const mean = values.reduce((sum, v) => sum + v, 0) / values.length;
  let best = [0, 0, -1];
  const look = (angle, lines) => {
    const turn = (angle * Math.PI) / 180;
    const [u, v] = [Math.cos(turn), -Math.sin(turn)].map((d) => ((d * lines * FIELD) / 10 / COARSE) * 2 * Math.PI);
    let [re, im] = [0, 0];
    for (let y = 0; y < COARSE; y += 1) {
      for (let x = 0; x < COARSE; x += 1) {
        // A soft edge keeps the border of the field from adding waves of its own.
        const soft = Math.sin((Math.PI * (x + 0.5)) / COARSE) * Math.sin((Math.PI * (y + 0.5)) / COARSE);
        const value = (values[y * COARSE + x] - mean) * soft;
        re += value * Math.cos(u * x + v * y);
        im += value * Math.sin(u * x + v * y);
      }
    }
    if (re * re + im * im > best[2]) best = [angle, lines, re * re + im * im];
  };
  for (let angle = 0; angle < 90; angle += 2) look(angle, ruling);
  const [near] = best;
  for (let angle = near - 3; angle <= near + 3; angle += 0.5) {
    for (const share of [0.94, 0.97, 1, 1.03, 1.06]) look(angle, ruling * share);
  }
  return best;
}

/** The picture, four bytes a pixel, decoded in the page. */
async function pixels(page) {
  const png = (await page.screenshot({ clip: { x: 0, y: 0, width: DRAWN, height: DRAWN } })).toString("base64");
  const bytes = await page.evaluate(async ([data, size]) => {
    const image = new Image();
    image.src = `data:image/png;base64,${data}`;
    await image.decode();
    const canvas = new OffscreenCanvas(size, size);
    const context = canvas.getContext("2d", { willReadFrequently: true });
    context.drawImage(image, 0, 0);
    const raw = context.getImageData(0, 0, size, size).data;
    let text = "";
    for (let at = 0; at < raw.length; at += 32768) text += String.fromCharCode(...raw.subarray(at, at + 32768));
    return btoa(text);
  }, [png, DRAWN]);
  return Buffer.from(bytes, "base64");
}
