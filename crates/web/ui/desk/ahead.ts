// A held point's lines follow the hand at once: every drawn coordinate goes on by its rate of change, to
// first order, until the server's own drawing for the new place is there. Values wait for the server.

import type { Rates } from "./api.js";
import type { Point } from "./turn.js";

const NUMBER = /-?\d+(?:\.\d+)?/g;
const ENDS = ["x1", "y1", "x2", "y2"] as const;

interface Led {
  from: number[];
  rates: readonly (readonly [number, number])[];
  draw(to: number[]): void;
}

export class Ahead {
  #rates: Rates = {};
  #key: string | null = null;
  #at: Point | null = null;
  #to: Point | null = null;
  #led: Led[] = [];

  /** The rates of the lines that the point `key` moves. */
  learn(key: string, rates: Rates): void {
    this.#key = key;
    this.#rates = rates;
  }

  /** The server's drawing stands, for the point `key` at `at`. */
  stand(drawn: Element | null, key: string | null, at: Point | null): void {
    this.#led = [];
    this.#at = this.#to = key === this.#key ? at : null;
    if (!drawn || !this.#at) return;
    for (const figure of drawn.querySelectorAll<SVGGElement>("g.figure")) {
      const rates = this.#rates[figure.dataset["measure"] ?? ""];
      if (rates) this.#led.push(...linesOf(figure, rates));
    }
  }

  forget(): void {
    this.#key = null;
    this.#rates = {};
    this.#led = [];
    this.#at = this.#to = null;
  }

  /** Whether the lines of this point can be moved; else the server must be waited for. */
  leads(key: string): boolean {
    return this.#at !== null && key === this.#key;
  }

  /** Moves the lines to where the point has gone. */
  lead(key: string, to: Point): void {
    const at = this.#at;
    if (!at || key !== this.#key || (this.#to?.[0] === to[0] && this.#to[1] === to[1])) return;
    this.#to = to;
    const [dx, dy] = [to[0] - at[0], to[1] - at[1]];
    for (const { from, rates, draw } of this.#led) draw(from.map((v, i) => v + dx * (rates[i]?.[0] ?? 0) + dy * (rates[i]?.[1] ?? 0)));
  }
}

/** A line is drawn twice, its dark edge under it; so is the arc. */
function linesOf(figure: Element, rates: Led["rates"]): Led[] {
  const led: Led[] = [];
  let used = 0;
  const lines = [...figure.querySelectorAll("line")];
  for (let i = 0; i < lines.length; i += 2, used += 4) {
    const both = lines.slice(i, i + 2);
    const from = ENDS.map((end) => Number(lines[i]?.getAttribute(end)));
    led.push({ from, rates: rates.slice(used, used + 4), draw: (to) => both.forEach((line) => ENDS.forEach((end, k) => line.setAttribute(end, written(to[k])))) });
  }
  const paths = [...figure.querySelectorAll("path")];
  const from = paths[0]?.getAttribute("d")?.match(NUMBER)?.map(Number) ?? [];
  if (from.length) {
    const draw = (to: number[]) => {
      let d = "";
      for (let i = 0; i < to.length; i += 2) d += `${i ? "L" : "M"}${written(to[i])} ${written(to[i + 1])}`;
      paths.forEach((path) => path.setAttribute("d", d));
    };
    led.push({ from, rates: rates.slice(used), draw });
  }
  // A drawing of another make than the rates is left to the server.
  return used + from.length === rates.length ? led : [];
}

function written(v: number | undefined): string {
  return (v ?? 0).toFixed(2);
}
