// The page on paper: A4 and Letter, nothing cut at the edges, no table, row or drawing cut by the end of a page.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";

/** Sizes in points. */
const PAPERS = { A4: [595, 842], Letter: [612, 792] };
/** Least white edge, points: what an office printer cannot print on. */
const EDGE = 18;

export async function checkPrint(browser, file, format) {
  const context = await browser.newContext({ colorScheme: "light" });
  const page = await context.newPage();
  await page.goto(`file://${file}`);
  const [width, height] = PAPERS[format];
  const marks = await page.evaluate(setMarks, height);
  const pdf = `${file.replace(/\.html$/, "")}-${format}.pdf`;
  // Without backgrounds, as people print: swatches must ask for theirs themselves.
  writeFileSync(pdf, await page.pdf({ format, printBackground: false }));
  await context.close();
  const words = wordsOf(pdf);
  assert.ok(words.length > 200, `${pdf} has ${words.length} words`);
  for (const word of words) {
    assert.ok(Math.abs(word.pageWidth - width) < 2, `${format} is ${word.pageWidth} points wide`);
    const within = word.left >= EDGE && word.right <= width - EDGE && word.bottom <= height - EDGE;
    assert.ok(within, `${format}, page ${word.page}: ${word.text} reaches ${word.left}..${word.right}, ${word.bottom}`);
  }
  const pageOf = new Map(words.filter((word) => word.text.startsWith("qz")).map((word) => [word.text, word.page]));
  for (const { from, to, what } of marks) {
    assert.ok(pageOf.has(from) && pageOf.has(to), `${format}: ${what} is lost in print`);
    assert.equal(pageOf.get(from), pageOf.get(to), `${format}: ${what} is cut`);
  }
  return Math.max(...words.map((word) => word.page));
}

/** Puts words that are found again at both ends of what must stay together; runs in the page. */
function setMarks(pageHeight) {
  const marks = [];
  const mark = (parent, first) => {
    const word = document.createElement("span");
    word.textContent = ` qz${mark.count = (mark.count ?? 0) + 1} `;
    // Smaller words lose repeated letters on the way through the PDF.
    word.style.fontSize = "5px";
    if (first) parent.prepend(word); else parent.append(word);
    return word.textContent.trim();
  };
  const together = (element, first, last, what) => marks.push({ from: mark(first, true), to: mark(last, false), what });
  for (const row of document.querySelectorAll("tr")) {
    together(row, row.firstElementChild, row.lastElementChild, `row ${row.textContent.slice(0, 40)}`);
  }
  for (const table of document.querySelectorAll("table")) {
    if (table.getBoundingClientRect().height > pageHeight * 0.8) continue;
    const cells = table.querySelectorAll("th, td");
    together(table, table.caption, cells[cells.length - 1], `table ${table.caption.textContent}`);
  }
  for (const figure of document.querySelectorAll("figure")) {
    const head = document.createElement("div");
    figure.prepend(head);
    together(figure, head, figure.querySelector("figcaption"), `drawing ${figure.textContent.slice(0, 40)}`);
  }
  return marks;
}

function wordsOf(pdf) {
  const text = execFileSync("pdftotext", ["-bbox", pdf, "-"], { encoding: "utf8", maxBuffer: 64 << 20 });
  const words = [];
  let page = 0;
  let pageWidth = 0;
  for (const line of text.split("\n")) {
    const opening = /<page width="([\d.]+)"/.exec(line);
    if (opening) {
      page += 1;
      pageWidth = Number(opening[1]);
    }
    const word = /<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*)<\/word>/.exec(line);
    if (word) {
      const [left, , right, bottom] = word.slice(1, 5).map(Number);
      words.push({ page, pageWidth, left, right, bottom, text: word[5] });
    }
  }
  return words;
}
