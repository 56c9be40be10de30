// How fast the film desk answers the hand, measured in the browser; prints BENCH rows.
import { browser, demoPractice, desktop, enter, onStage, open, quantile, serve } from "./lib.mjs";

const practice = demoPractice();
let server = await serve(practice);
const chrome = await browser();
try {
  const page = await open(chrome, desktop);
  await enter(page, server.address);
  await page.getByRole("link", { name: /Quillfeather/ }).first().click();
  await page.waitForURL(/visit/);
  const visit = page.url();
  const link = (words) => page.locator('a[href^="/film/"]', { hasText: words }).first();
  const address = new URL(await link(/lateral foot, left/i).getAttribute("href"), server.address).href;
  // Polling for the paint would put the tool's own scripts between the page and its film, so it is left alone.
  const settled = () => page.waitForTimeout(2000);
  const painted = () => page.evaluate(() => performance.getEntriesByName("film-painted")[0].startTime);
  // Another film first: what a browser does once after its start is not the desk's.
  await link(/lateral foot, right/i).click();
  await settled();
  const [warm, cold, sharps] = [[], [], []];
  for (let i = 0; i < 5; i++) {
    // The way that is gone every day. The visit's page has its films opened ahead.
    await page.goto(visit);
    await settled();
    await link(/lateral foot, left/i).click();
    await settled();
    warm.push(await painted());
    sharps.push(await page.evaluate(() => performance.getEntriesByName("film-sharp")[0].startTime));
  }
  for (let i = 0; i < 5; i++) {
    // A program just started, and the film's own address: nothing is opened ahead.
    await server.stop();
    server = await serve(practice, new URL(server.address).port);
    await page.goto(address);
    await settled();
    cold.push(await painted());
  }
  console.log(`every pixel in hand after ${Math.round(quantile(sharps, 0.5))} ms; until then the film stands coarse, as fine as the screen shows it whole`);
  const film = await page.evaluate(async (id) => (await fetch(`/film/${id}/meta`)).json(), address.split("/").pop());
  row("film desk first paint, from the visit's page, median of 5", quantile(warm, 0.5), "ms", "< 400 ms", quantile(warm, 0.5) < 400);
  row("film desk first paint, film decoded first, median of 5", quantile(cold, 0.5), "ms", "< 400 ms", quantile(cold, 0.5) < 400);

  await page.goto(`${address}?again=yes`);
  await page.waitForSelector('#desk[data-state="ready"]');
  for (const [key, point] of Object.entries(film.points)) {
    await page.locator(`.desk-points button[data-point="${key}"]`).click();
    const [x, y] = await onStage(page, film, point);
    await page.mouse.click(x, y);
  }
  const [x, y] = await onStage(page, film, film.points.calc_plantar_front);
  await page.mouse.move(x, y);
  await page.mouse.down();
  // Each measure of the desk is noted, where its lines stood for which place of the hand, and how long the
  // frame that shows them took to be painted.
  await page.evaluate(`window.lineEnds = ${lineEnds}`);
  await page.evaluate(() => {
    window.noted = { overlay: [], "overlay-exact": [], painted: [], shown: [] };
    let hand = null;
    for (const move of ["pointerrawupdate", "pointermove"]) window.addEventListener(move, (e) => (hand = [e.clientX, e.clientY]), { capture: true });
    const measure = performance.measure.bind(performance);
    performance.measure = (name, options) => {
      const made = measure(name, options);
      window.noted[name].push(made.duration);
      if (name !== "overlay") return made;
      window.noted.shown.push({ hand, lines: window.lineEnds(document.querySelector(".desk-over")) });
      requestAnimationFrame(() => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = () => window.noted.painted.push(performance.now() - made.startTime);
        port2.postMessage(null);
      });
      return made;
    };
  });
  const walk = Array.from({ length: 240 }, (_, i) => [x + 20 * Math.sin(i / 9), y + 12 * Math.cos(i / 7)]);
  for (const [u, v] of walk) {
    await page.mouse.move(u, v);
    await page.waitForTimeout(12);
  }
  await page.mouse.up();
  const { overlay: times, "overlay-exact": exact, painted: frames, shown } = await page.evaluate(() => window.noted);
  console.log(`from the hand's move to the end of the frame that shows the lines: median ${quantile(frames, 0.5).toFixed(1)} ms, 95th ${quantile(frames, 0.95).toFixed(1)} ms`);
  // The lines go ahead of their own drawing by the rates that came with the last one.
  row(`drag of a point to repainted overlay, 95th of ${times.length}`, quantile(times, 0.95), "ms", "< 16 ms", times.length >= 100 && quantile(times, 0.95) < 16);
  row("drag of a point to repainted overlay, median", quantile(times, 0.5), "ms", "< 16 ms", quantile(times, 0.5) < 16);
  row(`drag of a point to the server's own drawing for that place, 95th of ${exact.length}`, quantile(exact, 0.95), "ms", "< 50 ms, three frames", exact.length >= 60 && quantile(exact, 0.95) < 50);
  const [left, top] = await onStage(page, film, [0, 0]);
  const [right] = await onStage(page, film, [1000, 0]);
  const zoom = (right - left) / 1000;
  const places = shown.slice(1).map(({ hand: [u, v], lines }) => ({ lines, place: [(u - left) / zoom, (v - top) / zoom] }));
  const off = (await page.evaluate(offTheExact, { id: film.id, points: film.points, key: "calc_plantar_front", zoom, places })).map((px) => px * zoom);
  row(`led lines off the server's own drawing for that place, 95th of ${off.length}`, quantile(off, 0.95), "CSS px", "< 1 px", off.length >= 60 && quantile(off, 0.95) < 1);
  row("led lines off the server's own drawing for that place, median", quantile(off, 0.5), "CSS px", "< 1 px", quantile(off, 0.5) < 1);
} finally {
  await chrome.close();
  await server.stop();
}

function row(name, value, unit, goal, holds) {
  console.log(`BENCH ${JSON.stringify({ name, value, ours: value, reference: null, ratio: null, unit, goal, holds })}`);
}

/** In the page: the ends of each measure's lines, each line once. */
function lineEnds(drawn) {
  const ends = (figure) => [...figure.querySelectorAll("line")].filter((_, i) => i % 2 === 0).flatMap((line) => ["x1", "y1", "x2", "y2"].map((end) => Number(line.getAttribute(end))));
  return Object.fromEntries([...drawn.querySelectorAll("g.figure")].map((figure) => [figure.dataset.measure, ends(figure)]));
}

/** In the page: how far, in film pixels, the ends of shown lines lay beside the lines that the server draws for that place. */
async function offTheExact({ id, points, key, zoom, places }) {
  const off = [];
  for (const { lines, place } of places) {
    const body = { points: { ...points, [key]: place }, pen: 1 / zoom, active: key, turn: { quarter_turns: 0, mirrored: false }, lines_only: true };
    const answer = await fetch(`/film/${id}/overlay`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) });
    const made = document.createElement("template");
    made.innerHTML = (await answer.json()).svg;
    const exact = window.lineEnds(made.content);
    const beside = ([x1, y1, x2, y2], x, y) => Math.abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) / Math.hypot(x2 - x1, y2 - y1);
    const away = [];
    for (const [measure, ends] of Object.entries(exact)) {
      const seen = lines[measure];
      for (let i = 0; i < ends.length; i += 4) for (const k of [i, i + 2]) away.push(beside(ends.slice(i, i + 4), seen[k], seen[k + 1]));
    }
    off.push(Math.max(...away));
  }
  return off;
}
