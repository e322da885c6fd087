// Opens the pages of `inkset report` and the papers that go out in a headless browser. Usage: node run.mjs ROOT INKSET CHROMIUM

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { promisify } from "node:util";
import { FileSystemConfigLoader, HtmlValidate, esmResolver } from "html-validate";
import { chromium } from "playwright-core";
import { checkFormula } from "./colour.mjs";
import { checkLoupes } from "./loupe.mjs";
import { checkPrint } from "./print.mjs";
import { SIZES, checkScreen } from "./screen.mjs";

const [root, inkset, executablePath] = process.argv.slice(2);
/** Without what a browser does on the network of its own accord. */
const ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
const folder = join(process.cwd(), "pages");
mkdirSync(folder, { recursive: true });
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** Demo pages and what is hard on them, with the pages that are also measured dot by dot. */
function pages() {
  const demo = (name, ...more) => ({ name, job: join(root, "jobs", `${name}.toml`), more });
  return [
    { ...demo("booklet", "--budget", "1000"), measured: true },
    { ...demo("flyer-orange", "--rates", ranged()) },
    { ...demo("flyer-orange", ...offers()), name: "offers" },
    { ...demo("poster-metallic") },
    { ...demo("tea-cards"), measured: true },
    { name: "harmful", job: harmful(), more: ["--rates", join(root, "rates/metric.toml")] },
    quotation("booklet", "CMYK + Kingfisher violet"),
    quotation("poster-metallic", "CMYK + Mint silver"),
    { ...paper("enquire", "booklet"), more: ["--date", "2026-11-25"] },
    { ...paper("delivery", "booklet"), more: ["--option", "CMYK"] },
  ];
}

/** The demo offers, in every shape, with the buyer's figures. */
function offers() {
  const all = ["alder-lane.toml", "brook-litho.toml", "copper-court.toml", "dune-press.toml", "east-quay.csv"];
  const files = all.map((name) => join(root, "jobs/offers", name));
  return ["--offers", ...files, "--buyer", join(root, "jobs/buyers/farm-shop.toml")];
}

/** A quotation of a demo job, on a day that does not change. */
function quotation(job, option) {
  const more = ["--option", option, "--date", "2026-11-25", "--number", "2611-07"];
  return { ...paper("quote", job), more };
}

function paper(command, job) {
  return { name: `${command}-${job}`, command, job: join(root, "jobs", `${job}.toml`) };
}

/** The demo card with ranges. */
function ranged() {
  let card = readFileSync(join(root, "rates/metric.toml"), "utf8");
  const ranges = [
    ["make_ready_minutes_per_ink = 2.5", "make_ready_minutes_per_ink = { low = 2, typical = 2.5, high = 4 }"],
    ["hourly_rate = 270.00", "hourly_rate = { low = 255, typical = 270.00, high = 300 }"],
    ["{ percent = 1.5 }", "{ percent = { low = 1, typical = 1.5, high = 2 } }"],
  ];
  for (const [plain, range] of ranges) {
    assert.ok(card.includes(plain), plain);
    card = card.replace(plain, range);
  }
  const file = join(folder, "ranged.toml");
  writeFileSync(file, card);
  return file;
}

/** Names that would break a careless page: markup, quotes, another reading direction, pictures, endless words. */
function harmful() {
  let job = readFileSync(join(root, "jobs/flyer-orange.toml"), "utf8");
  const names = {
    "Pumpkin orange": `${"W".repeat(180)}<script>`,
    "Leaf green": "أخضر الورق \\\"><b onclick=alert(1)>",
    "Text black": "🌈🦊👩🏽‍🎨 & black",
  };
  for (const [plain, harm] of Object.entries(names)) {
    assert.ok(job.includes(`"${plain}"`), plain);
    job = job.replaceAll(`"${plain}"`, `"${harm}"`);
  }
  job = job.replace(/^title = .*$/m, `title = "</title><script>alert('x')</script> مطبعة النهر ${"long ".repeat(20)}end"`);
  const file = join(folder, "harmful.toml");
  writeFileSync(file, job);
  return file;
}

async function validate(file) {
  const validator = new HtmlValidate(new FileSystemConfigLoader([esmResolver()]));
  // Only the settings beside this file; pages lie below it.
  const report = await validator.validateFile(file);
  const told = report.results.flatMap((r) => r.messages.map((m) => `${m.line}:${m.column} ${m.ruleId}: ${m.message}`));
  assert.equal(told.length, 0, told.slice(0, 10).join("\n"));
}

/** Runs a command; what it assumes is not of interest here. */
const run = promisify(execFile);

/** Every colour that `plan` wants or prints, as it gives it to programs: name, L a b, sRGB. */
async function planned(page) {
  const rates = page.more.indexOf("--rates");
  const more = rates < 0 ? [] : page.more.slice(rates, rates + 2);
  const { stdout } = await run(inkset, ["plan", page.job, ...more, "--format", "json"], { maxBuffer: 64 << 20 });
  const colours = JSON.parse(stdout).ink_sets.flatMap((set) => set.colours);
  return {
    wanted: [...new Set(colours.map((colour) => colour.target_srgb))],
    all: new Set(colours.flatMap((colour) => [colour.target_srgb, colour.printed_srgb]).filter(Boolean)),
  };
}

async function check(browser, page) {
  const file = join(folder, `${page.name}.html`);
  await run(inkset, [page.command ?? "report", page.job, "-o", file, ...page.more]);
  await validate(file);
  const plan = page.command ? null : await planned(page);
  const seen = new Set();
  for (const size of Object.keys(SIZES)) {
    for (const scheme of ["light", "dark"]) {
      await named(`${size}, ${scheme}`, async () => seen.add(await checkScreen(browser, { file, axe, plan }, size, scheme)));
    }
  }
  assert.equal(seen.size, 1, "swatches are the same in light and dark, large and small");
  const sheets = [];
  for (const format of ["A4", "Letter"]) sheets.push(`${format} ${await checkPrint(browser, file, format)} pages`);
  let told = sheets.join(", ");
  if (page.measured) {
    const { views, inks, worst } = await checkLoupes(browser, file);
    told += `, ${views} loupe views at most ${worst.toFixed(2)} ΔE00 off, ${inks} screens measured`;
  }
  console.log(`${page.name}: ${told}`);
}

async function named(what, work) {
  try {
    await work();
  } catch (error) {
    error.message = `${what}: ${error.message}`;
    throw error;
  }
}

checkFormula(join(root, "tests/reference/colour/ciede2000.csv"));
const browser = await chromium.launch({ executablePath, args: ARGUMENTS });
let failures = 0;
const left = pages();
/** Takes pages as long as there are any. */
async function worker() {
  for (let page = left.shift(); page; page = left.shift()) {
    try {
      await check(browser, page);
    } catch (error) {
      failures += 1;
      console.error(`${page.name}: FAILED: ${error.message}`);
    }
  }
}
await Promise.all([worker(), worker()]);
await browser.close();
process.exit(failures === 0 ? 0 : 1);
