// How fast the film desk answers the hand, measured in the browser; prints BENCH rows.
import { browser, demoPractice, desktop, enter, onStage, open, quantile, serve } from "./lib.mjs";

const server = await serve(demoPractice());
const chrome = await browser();
try {
  const page = await open(chrome, desktop);
  await enter(page, server.address);
  await page.getByRole("link", { name: /Quillfeather/ }).first().click();
  const addressOf = async (words) => new URL(await page.locator('a[href^="/film/"]', { hasText: words }).first().getAttribute("href"), server.address).href;
  const [address, another] = [await addressOf(/lateral foot, left/i), await addressOf(/lateral foot, right/i)];
  // Another film first: what a browser does once after its start is not the desk's.
  await page.goto(another);
  await page.waitForFunction(() => performance.getEntriesByName("film-sharp").length > 0);
  const [paints, sharps] = [[], []];
  for (let i = 0; i < 6; i++) {
    await page.goto(address);
    await page.waitForSelector('#desk[data-state="ready"]');
    await page.waitForFunction(() => performance.getEntriesByName("film-painted").length > 0);
    paints.push(await page.evaluate(() => performance.getEntriesByName("film-painted")[0].startTime));
    await page.waitForFunction(() => performance.getEntriesByName("film-sharp").length > 0);
    sharps.push(await page.evaluate(() => performance.getEntriesByName("film-sharp")[0].startTime));
  }
  // The first load decodes the film on the server; it is reported by itself.
  const [cold, ...warm] = paints;
  console.log(`every pixel in hand after ${Math.round(quantile(sharps.slice(1), 0.5))} ms; until then the film stands coarse, as fine as the screen shows it whole`);
  const film = await page.evaluate(async (id) => (await fetch(`/film/${id}/meta`)).json(), address.split("/").pop());
  row("film desk first paint, film open on the server", quantile(warm, 0.5), "ms", "< 400 ms", quantile(warm, 0.5) < 400);
  row("film desk first paint, film decoded first", cold, "ms", "< 400 ms", cold < 400);

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
  // Each measure of the desk is noted, and how long the frame that shows it took to be painted.
  await page.evaluate(() => {
    window.noted = { overlay: [], painted: [] };
    const measure = performance.measure.bind(performance);
    performance.measure = (name, options) => {
      const made = measure(name, options);
      if (name !== "overlay") return made;
      window.noted.overlay.push(made.duration);
      requestAnimationFrame(() => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = () => window.noted.painted.push(performance.now() - made.startTime);
        port2.postMessage(null);
      });
      return made;
    };
  });
  for (let i = 0; i < 240; i++) {
    await page.mouse.move(x + 20 * Math.sin(i / 9), y + 12 * Math.cos(i / 7));
    await page.waitForTimeout(12);
  }
  await page.mouse.up();
  const { overlay: times, painted } = await page.evaluate(() => window.noted);
  console.log(`from the hand's move to the end of the frame that shows the lines: median ${quantile(painted, 0.5).toFixed(1)} ms, 95th ${quantile(painted, 0.95).toFixed(1)} ms`);
  row(`drag of a point to repainted overlay, 95th of ${times.length}`, quantile(times, 0.95), "ms", "< 16 ms", times.length >= 100 && quantile(times, 0.95) < 16);
  row("drag of a point to repainted overlay, median", quantile(times, 0.5), "ms", "< 16 ms", quantile(times, 0.5) < 16);
} finally {
  await chrome.close();
  await server.stop();
}

function row(name, value, unit, goal, holds) {
  console.log(`BENCH ${JSON.stringify({ name, value, ours: value, reference: null, ratio: null, unit, goal, holds })}`);
}
