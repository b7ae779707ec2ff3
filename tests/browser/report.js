// The report, opened as a reader opens it: no error, no request, filters, phone, printer, contrast, names that are only text.
//
//   QUIETPAIR=target/release/quietpair node tests/browser/report.js [WORDS OF THE TITLES OF TESTS]
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { HtmlValidate } from "html-validate";
import { chromium } from "playwright-core";

const here = dirname(fileURLToPath(import.meta.url));
const root = join(here, "..", "..");
const program = process.env.QUIETPAIR ?? join(root, "target", "release", "quietpair");
const browserPath = process.env.CHROMIUM ?? "/usr/bin/chromium";
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const folder = mkdtempSync(join(tmpdir(), "quietpair-report-"));

const scenarios = {
  harbour: ["scenarios/harbour-half-marathon.yaml", "--proposal", "B"],
  search: ["scenarios/county-search-exercise.yaml"],
  regatta: ["scenarios/lake-regatta-watch.yaml"],
  morning: ["scenarios/pre-event-check.yaml"],
  hostile: ["tests/browser/hostile.yaml"],
};
// The largest page that a phone on a hill should have to fetch from a mail.
const LARGEST = 1_500_000;

const pages = {};
for (const [name, [file, ...more]] of Object.entries(scenarios)) {
  const path = join(folder, `${name}.html`);
  execFileSync(program, ["report", join(root, file), "-o", path, ...more], { stdio: "inherit" });
  pages[name] = { path, url: pathToFileURL(path).href, text: readFileSync(path, "utf8") };
}

const browser = await chromium.launch({
  executablePath: browserPath,
  args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync"],
});

/** Opens a page and hands it over; whatever it complains of, or asks a network for, fails. */
async function opened(name, options, work) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const trouble = [];
  page.on("console", (message) => trouble.push(`console: ${message.text()}`));
  page.on("pageerror", (error) => trouble.push(`error: ${error.message}`));
  page.on("dialog", (dialog) => { trouble.push("a dialog"); dialog.dismiss(); });
  page.on("request", (request) => { if (request.url() !== pages[name].url) trouble.push(`request: ${request.url()}`); });
  await page.goto(pages[name].url);
  await work(page);
  assert.deepEqual(trouble, [], name);
  await context.close();
}

const desktop = { viewport: { width: 1100, height: 900 } };
const phone = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const tests = [];
const test = (title, run) => tests.push([title, run]);

test("every page is sound HTML and small enough for a mail", () => {
  const validator = new HtmlValidate({
    extends: ["html-validate:recommended"],
    rules: {
      // The page is written without needless space and keeps to what the language allows; these are questions of taste.
      "long-title": "off", "no-trailing-whitespace": "off", "attribute-boolean-style": "off", "no-inline-style": "error",
      "void-style": "off", "prefer-native-element": "off",
    },
  });
  for (const [name, { text }] of Object.entries(pages)) {
    const report = validator.validateStringSync(text);
    const told = report.results.flatMap((one) => one.messages)
      .map((one) => `${name}:${one.line}:${one.column} ${one.ruleId}: ${one.message}`);
    assert.deepEqual(told.slice(0, 8), [], name);
    assert.ok(Buffer.byteLength(text) < LARGEST, `${name} has ${Buffer.byteLength(text)} bytes`);
  }
});

test("nothing is asked of a network and nothing is complained of", async () => {
  for (const name of Object.keys(pages)) {
    await opened(name, desktop, async (page) => {
      await page.mouse.wheel(0, 4000);
      assert.equal(await page.locator("h1").count(), 1, name);
    });
  }
});

test("a phone shows it without sliding sideways", async () => {
  for (const name of Object.keys(pages)) {
    await opened(name, phone, async (page) => {
      await page.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
      const [page_, screen] = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
      assert.ok(page_ <= screen, `${name}: ${page_} wide on a screen of ${screen}`);
    });
  }
});

test("contrast and access hold in light, in dark and on a phone", async () => {
  const looks = { light: desktop, dark: { ...desktop, colorScheme: "dark" }, phone };
  for (const name of Object.keys(pages)) {
    for (const [look, options] of Object.entries(looks)) {
      await opened(name, options, async (page) => {
        await page.evaluate(() => [...document.querySelectorAll("details")].slice(0, 12).forEach((one) => { one.open = true; }));
        await page.evaluate(axe);
        const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
        const told = found.violations.map((one) => `${one.id}: ${one.help}: ${one.nodes[0].html.slice(0, 160)} (${one.nodes.length})`);
        assert.deepEqual(told, [], `${name}, ${look}`);
      });
    }
  }
});

test("findings are filtered by severity and by station, without a server", async () => {
  await opened("harbour", desktop, async (page) => {
    const visible = () => page.locator("details.finding:visible").count();
    const all = await page.locator("details.finding").count();
    const notes = await page.locator('details.finding[data-severity="note"]').count();
    assert.ok(notes > 0 && notes < all);
    assert.equal(await visible(), all - notes, "notes are left out at first");
    await page.locator('#filters input[value="note"]').check();
    assert.equal(await visible(), all);
    await page.locator('#filters input[value="caution"]').uncheck();
    await page.locator('#filters input[value="note"]').uncheck();
    const conflicts = await page.locator('details.finding[data-severity="conflict"]').count();
    assert.ok(conflicts > 0);
    assert.equal(await visible(), conflicts);
    const station = page.locator("#filters select");
    await page.locator('#filters input[value="caution"]').check();
    await station.selectOption({ label: "Hill relay" });
    const some = await visible();
    assert.ok(some > 0 && some < all - notes, `${some} of ${all}`);
    assert.match(await page.locator("#shown").textContent(), new RegExp(`^${some} of ${all} findings`));
  });
});

test("a mark says what it is to a pointer, a key and a finger, and leads to its finding", async () => {
  await opened("harbour", desktop, async (page) => {
    const mark = page.locator('svg.picture a[href="#finding-1"]').first();
    await mark.scrollIntoViewIfNeeded();
    await page.evaluate(() => new Promise((done) => setTimeout(done, 100)));
    await mark.focus();
    assert.ok(await page.locator("#tip").isVisible());
    assert.ok((await page.locator("#tip").textContent()).length > 20);
    await page.keyboard.press("Escape");
    assert.ok(await page.locator("#tip").isHidden());
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => document.getElementById("finding-1").open);
  });
  await opened("harbour", phone, async (page) => {
    const mark = page.locator("#margins a .row").first();
    await mark.scrollIntoViewIfNeeded();
    await mark.tap({ force: true, position: { x: 60, y: 10 } });
    await page.waitForFunction(() => document.querySelector("details.finding[open]") !== null);
  });
});

test("without JavaScript all of it is there to read", async () => {
  await opened("harbour", { ...desktop, javaScriptEnabled: false }, async (page) => {
    const all = await page.locator("details.finding").count();
    assert.equal(await page.locator("details.finding:visible").count(), all);
    assert.ok(await page.locator("#filters").isHidden());
    assert.ok(await page.locator(".card").first().isVisible());
    assert.ok(await page.locator("#pairs-1 title").count() > 10, "marks say what they are by their titles");
  });
});

test("printed, the cards stand side by side, whole, with what is folded away on a screen", async () => {
  await opened("harbour", desktop, async (page) => {
    await page.emulateMedia({ media: "print" });
    const boxes = await page.locator(".card").evaluateAll((cards) => cards.map((card) => card.getBoundingClientRect().toJSON()));
    assert.ok(boxes.length > 2);
    assert.ok(Math.abs(boxes[0].top - boxes[1].top) < 2 && boxes[1].left > boxes[0].right, "two in a row");
    assert.equal(await page.locator(".card").first().evaluate((card) => getComputedStyle(card).breakInside), "avoid");
    assert.ok(await page.locator("#filters").isHidden());
    assert.ok(await page.locator("nav").isHidden());
    const colours = await page.evaluate(() => {
      const of = (selector, key) => getComputedStyle(document.querySelector(selector))[key];
      return [of("body", "color"), of("body", "backgroundColor"), of(".badge.conflict", "backgroundColor")];
    });
    assert.deepEqual(colours, ["rgb(0, 0, 0)", "rgb(255, 255, 255)", "rgb(0, 0, 0)"]);
    const pdf = await page.pdf({ preferCSSPageSize: true, format: "A4" });
    assert.ok(pdf.length > 10_000);
  });
});

test("a name is text, whatever it says", async () => {
  for (const options of [desktop, phone, { ...desktop, javaScriptEnabled: true, bypassCSP: true }]) {
    await opened("hostile", options, async (page) => {
      await page.mouse.move(400, 400);
      for (const card of await page.locator(".card").all()) await card.hover();
      assert.equal(await page.evaluate(() => window.ran), undefined);
      assert.equal(await page.locator("script").count(), 1);
      assert.equal(await page.locator("img, iframe, object, embed, link, [onload], [onerror], [onmouseover]").count(), 0);
      const links = await page.locator("a").evaluateAll((all) => all.map((one) => one.getAttribute("href")));
      assert.deepEqual(links.filter((link) => !link.startsWith("#")), []);
      const heading = await page.locator("h1").textContent();
      assert.ok(heading.includes("<script>window.ran = 1</script>"), heading);
      assert.ok(!/[\u202a-\u202e\u2066-\u2069]/u.test(await page.evaluate(() => document.documentElement.outerHTML)));
    });
  }
});

test("the page's own policy keeps a stray script from running", async () => {
  const context = await browser.newContext(desktop);
  const page = await context.newPage();
  await page.route("**/*", (route) => route.fulfill({
    contentType: "text/html",
    body: pages.morning.text.replace("<main", "<script>window.ran = 1</script><img src=x onerror='window.ran=2'><main"),
  }));
  await page.goto("http://report.test/");
  assert.equal(await page.evaluate(() => window.ran), undefined);
  assert.equal(await page.evaluate(() => document.getElementById("filters").hidden), false, "our own script runs");
  await context.close();
});

let failed = 0;
const words = process.argv.slice(2);
const wanted = tests.filter(([title]) => words.length === 0 || words.some((word) => title.includes(word)));
for (const [title, run] of wanted) {
  try {
    await run();
    console.log(`ok      ${title}`);
  } catch (error) {
    failed += 1;
    console.log(`FAILED  ${title}\n${error.message}`);
  }
}
await browser.close();
rmSync(folder, { recursive: true, force: true });
console.log(`${wanted.length - failed} of ${wanted.length} browser tests passed`);
process.exitCode = failed === 0 ? 0 : 1;
