// The page on a screen: nothing fails, nothing scrolls sideways, no words collide, colours are those of the plan, axe is content.

import assert from "node:assert/strict";
import { channels } from "./colour.mjs";

export const SIZES = { desktop: { width: 1280, height: 900 }, phone: { width: 390, height: 844 } };
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** Opens a page and runs every check on it. */
export async function checkScreen(browser, { file, axe, plan }, size, colorScheme) {
  const context = await browser.newContext({ viewport: SIZES[size], colorScheme });
  const page = await context.newPage();
  const said = [];
  page.on("console", (message) => said.push(message.text()));
  page.on("pageerror", (error) => said.push(String(error)));
  page.on("request", (request) => request.url().startsWith("file:") || said.push(`asks for ${request.url()}`));
  await page.goto(`file://${file}`);
  assert.deepEqual(said, [], "the console stays silent and nothing is fetched");
  await nothingSideways(page);
  const swatches = await swatchesAgree(page, plan);
  const collisions = await page.evaluate(collidingWords);
  assert.deepEqual(collisions, [], "words collide");
  await schemeShows(page, colorScheme);
  await page.evaluate(axe);
  const { violations } = await page.evaluate((tags) => window.axe.run({ runOnly: tags }), TAGS);
  const told = violations.map((v) => `${v.id}: ${v.help}\n  ${v.nodes.map((n) => n.html.slice(0, 200)).slice(0, 4).join("\n  ")}`);
  assert.equal(told.length, 0, told.join("\n"));
  await context.close();
  return swatches;
}

async function nothingSideways(page) {
  const [wide, room] = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
  assert.ok(wide <= room, `the page is ${wide} wide in a window of ${room}`);
  const beyond = await page.evaluate(() => {
    const told = [];
    for (const element of document.body.querySelectorAll("*:not(.skip)")) {
      const box = element.getBoundingClientRect();
      if (box.width > 0 && !element.closest("defs, .skip") && (box.right > window.innerWidth + 1 || box.left < -1)) {
        told.push(`${element.tagName} ${element.className.baseVal ?? element.className} ${box.left}..${box.right}`);
      }
    }
    return told.slice(0, 5);
  });
  assert.deepEqual(beyond.filter((line) => !line.startsWith("rect") && !line.startsWith("g ")), [], "stands out of the window");
}

/** What is computed is what the plan says, and nothing fades or filters it. */
async function swatchesAgree(page, plan) {
  const found = await page.evaluate(() => [...document.querySelectorAll(".swatch[data-srgb], .paper[data-srgb]")].map((element) => {
    const style = getComputedStyle(element);
    const box = element.getBoundingClientRect();
    return {
      wanted: element.dataset.srgb, computed: style.backgroundColor, image: style.backgroundImage, opacity: style.opacity,
      filter: style.filter, area: box.width * box.height,
    };
  }));
  assert.ok(found.length > 0 || !plan, "there are swatches");
  for (const swatch of found) {
    assert.deepEqual(channels(swatch.computed), channels(swatch.wanted));
    assert.equal(`${swatch.image} ${swatch.opacity} ${swatch.filter}`, "none 1 none");
    assert.ok(swatch.area >= 900, `${swatch.wanted} is only ${swatch.area} square pixels`);
  }
  const shown = found.map((swatch) => swatch.wanted);
  if (!plan) return shown.sort().join(" ");
  for (const wanted of plan.wanted) assert.ok(shown.includes(wanted), `${wanted} of the plan is not shown`);
  const halves = await page.evaluate(() => [...document.querySelectorAll(".swatch.half[data-srgb]")].map((e) => e.dataset.srgb));
  assert.ok(halves.length > 0, "there are colours beside what was wanted");
  for (const half of halves) assert.ok(plan.all.has(half), `${half} is no colour of the plan`);
  return shown.sort().join(" ");
}

/** Boxes of every line of text, compared two by two; runs in the page. */
function collidingWords() {
  const boxes = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode;
    if (!node.textContent.trim() || node.parentElement.closest(".skip, style, title")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) {
      const high = box.height * 0.2;
      boxes.push({ text: node.textContent.trim().slice(0, 30), left: box.left, right: box.right, top: box.top + high, bottom: box.bottom - high });
    }
    const svg = node.parentElement.closest("svg");
    if (svg) {
      const [own, frame] = [node.parentElement.getBoundingClientRect(), svg.getBoundingClientRect()];
      if (own.left < frame.left - 2 || own.right > frame.right + 2 || own.bottom > frame.bottom + 2) {
        return [`${node.textContent} stands out of its drawing`];
      }
    }
  }
  boxes.sort((a, b) => a.top - b.top);
  const found = [];
  for (let i = 0; i < boxes.length; i += 1) {
    for (let j = i + 1; j < boxes.length && boxes[j].top < boxes[i].bottom; j += 1) {
      const [a, b] = [boxes[i], boxes[j]];
      const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const high = Math.min(a.bottom, b.bottom) - b.top;
      if (wide > 1.5 && high > 1.5) found.push(`${a.text} | ${b.text} at ${Math.round(a.left)},${Math.round(a.top + scrollY)}`);
    }
  }
  return found.slice(0, 8);
}

/** A dark page is dark, a light one light. */
async function schemeShows(page, scheme) {
  const ground = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const light = channels(ground).reduce((sum, v) => sum + v, 0) / 3;
  assert.ok(scheme === "dark" ? light < 60 : light > 200, `${scheme}: ${ground}`);
}
