// Colours as the tests need them: sRGB to CIELAB (D50), CIEDE2000. Sources: IEC 61966-2-1; Bradford adaptation; Sharma, Wu and
// Dalal 2005. Written apart from the product, so that the two can disagree.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";

const TO_XYZ_D50 = [
  [0.4360747, 0.3850649, 0.1430804],
  [0.2225045, 0.7168786, 0.0606169],
  [0.0139322, 0.0971045, 0.7141733],
];
const WHITE_D50 = [0.96422, 1, 0.82521];

/** Light of an encoded channel, 0 to 255, as 0 to 1. */
export function linear(value) {
  const v = value / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
}

/** CIELAB of linear sRGB. */
export function labOfLinear(rgb) {
  const f = (t) => (t > 216 / 24389 ? Math.cbrt(t) : ((24389 / 27) * t + 16) / 116);
  const [x, y, z] = TO_XYZ_D50.map((row, at) => f(row.reduce((sum, m, i) => sum + m * rgb[i], 0) / WHITE_D50[at]));
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

/** Channels of `#RRGGBB` or `rgb(r, g, b)`. */
export function channels(text) {
  const hex = /^#([0-9a-f]{6})$/i.exec(text);
  if (hex) return [0, 2, 4].map((at) => parseInt(hex[1].slice(at, at + 2), 16));
  return text.match(/\d+(\.\d+)?/g).slice(0, 3).map(Number);
}

/** CIEDE2000 of two CIELAB colours. */
export function deltaE(one, other) {
  const rad = Math.PI / 180;
  const [L1, a1, b1] = one;
  const [L2, a2, b2] = other;
  const mean = (Math.hypot(a1, b1) + Math.hypot(a2, b2)) / 2;
  const g = 0.5 * (1 - Math.sqrt(mean ** 7 / (mean ** 7 + 25 ** 7)));
  const [p1, p2] = [a1 * (1 + g), a2 * (1 + g)];
  const [C1, C2] = [Math.hypot(p1, b1), Math.hypot(p2, b2)];
  const hue = (a, b) => (a === 0 && b === 0 ? 0 : (Math.atan2(b, a) / rad + 360) % 360);
  const [h1, h2] = [hue(p1, b1), hue(p2, b2)];
  const grey = C1 * C2 === 0;
  let dh = grey ? 0 : h2 - h1;
  if (dh > 180) dh -= 360;
  if (dh < -180) dh += 360;
  let h = h1 + h2;
  if (!grey) h = Math.abs(h1 - h2) <= 180 ? h / 2 : h < 360 ? (h + 360) / 2 : (h - 360) / 2;
  const dH = 2 * Math.sqrt(C1 * C2) * Math.sin((dh / 2) * rad);
  const [L, C] = [(L1 + L2) / 2, (C1 + C2) / 2];
  const t = 1 - 0.17 * Math.cos((h - 30) * rad) + 0.24 * Math.cos(2 * h * rad)
    + 0.32 * Math.cos((3 * h + 6) * rad) - 0.2 * Math.cos((4 * h - 63) * rad);
  const sL = 1 + (0.015 * (L - 50) ** 2) / Math.sqrt(20 + (L - 50) ** 2);
  const [sC, sH] = [1 + 0.045 * C, 1 + 0.015 * C * t];
  const turn = 30 * Math.exp(-(((h - 275) / 25) ** 2));
  const rT = -2 * Math.sqrt(C ** 7 / (C ** 7 + 25 ** 7)) * Math.sin(2 * turn * rad);
  const [l, c, q] = [(L2 - L1) / sL, (C2 - C1) / sC, dH / sH];
  return Math.sqrt(l * l + c * c + q * q + rT * c * q);
}

/** Holds the formula to its published table. */
export function checkFormula(table) {
  const rows = readFileSync(table, "utf8").split("\n").filter((line) => /^[-\d]/.test(line));
  assert.ok(rows.length >= 30, `${table} has ${rows.length} rows`);
  for (const row of rows) {
    const [, ...v] = row.split(",").map(Number);
    const found = deltaE(v.slice(0, 3), v.slice(3, 6));
    assert.ok(Math.abs(found - v[6]) <= 1e-4, `${row}: ${found}`);
  }
}
