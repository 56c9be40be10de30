// What the film desk asks the server. The page computes no reading: points go out, readings and the
// drawing over the film come back, and with a held point the rates by which its lines follow (ahead.ts).

import type { Grey } from "./light.js";
import type { Point, Size, Turn } from "./turn.js";

export interface LandmarkInfo {
  key: string;
  name: string;
  definition: string;
  drawing_svg: string;
  optional: boolean;
}

export interface FilmMeta {
  id: string;
  title: string;
  view: string;
  view_words: string;
  side: string | null;
  side_words: string;
  stance_words: string;
  scale_words: string;
  scale_wish: ScaleWish;
  width: number;
  height: number;
  turn: Turn;
  /** Middle and width of the grey window, in shares of the full range. */
  window: { centre: number; width: number };
  landmarks: LandmarkInfo[];
  points: Record<string, Point>;
  points_id: string | null;
  /** A finished placing is shown and not changed. */
  finished: boolean;
  reader: string;
  others: { id: string; label: string }[];
}

export interface YardstickWords {
  words: string;
  letter: string;
  source: string;
}

export interface Row {
  measure: string;
  name: string;
  value: string;
  sign: string;
  place: string;
  strip_svg: string;
  yardsticks: YardstickWords[];
  notes: string[];
  points: string[];
}

export interface List {
  rows: Row[];
  refused: { measure: string; name: string; sentence: string }[];
  warnings: string[];
}

/** By measure: how far each drawn coordinate moves while the active point goes one film pixel to the right,
 * and one down. Line by line (x, y of one end, of the other), then along the arc. */
export type Rates = Record<string, [number, number][]>;

/** The drawing over the film, and the list beside it and the rates of its lines where they were asked for. */
export type Overlay = { svg: string; rates?: Rates } & (List | { rows?: never });

export interface OverlayWish {
  points: Record<string, Point>;
  /** Film pixels for one pixel of the screen. */
  pen: number;
  active: string | null;
  turn: Turn;
  lines_only: boolean;
  rates: boolean;
}

export interface Proposal {
  points: Record<string, Point>;
  /** What was fitted to the marks, to be looked at; stored pixels. */
  circle?: { centre: Point; radius: number };
  line?: { from: Point; to: Point };
  words: string;
}

/** Where millimetres come from, as the server keeps it. */
export type ScaleWish =
  | { from: "file"; object: { mm: number; se_mm: number } | null }
  | { from: "ball"; diameter_mm: number; edge_points_px: Point[] }
  | { from: "known-length"; length_mm: number; from_px: Point; to_px: Point }
  | { from: "none" };

export class Refusal extends Error {}

async function answer<T>(request: Promise<Response>): Promise<T> {
  let response: Response;
  try {
    response = await request;
  } catch {
    throw new Refusal("The server does not answer; the points stay here. Start it again and save once more.");
  }
  const type = response.headers.get("content-type") ?? "";
  if (response.ok && type.includes("json")) return (await response.json()) as T;
  const said = type.includes("json") ? ((await response.json()) as { error?: string }).error : undefined;
  throw new Refusal(said ?? `The server answered with ${response.status}; nothing here is lost. Load the page again.`);
}

function post<T>(address: string, body: unknown): Promise<T> {
  return answer<T>(fetch(address, { method: "POST", headers: { "content-type": "application/json", accept: "application/json" }, body: JSON.stringify(body) }));
}

export class Desk {
  constructor(private readonly id: string) {}

  meta(again: boolean): Promise<FilmMeta> {
    return answer<FilmMeta>(fetch(`/film/${this.id}/meta${again ? "?again=yes" : ""}`, { headers: { accept: "application/json" } }));
  }

  /** The film coarse enough for a stage of this size in device pixels: small, so that it is here at once. */
  async coarse(stage: Size): Promise<Grey> {
    const response = await fetch(`/film/${this.id}/grey16?for=${Math.ceil(stage.width)}x${Math.ceil(stage.height)}`);
    const step = Number(response.headers.get("x-film-pixels") ?? 0);
    if (!response.ok || !step) throw new Refusal("The picture could not be loaded; load the page again.");
    return { bytes: new Uint8Array(await response.arrayBuffer()), step };
  }

  /** Every pixel. */
  async grey(progress: (share: number) => void): Promise<Grey> {
    const response = await fetch(`/film/${this.id}/grey16`);
    if (!response.ok || !response.body) throw new Refusal("The film's full detail could not be loaded; load the page again.");
    const total = Number(response.headers.get("content-length") ?? 0);
    if (!total) return { bytes: new Uint8Array(await response.arrayBuffer()), step: 1 };
    const all = new Uint8Array(total);
    let at = 0;
    for (const reader = response.body.getReader(); ; ) {
      const { done, value } = await reader.read();
      if (done) break;
      all.set(value.subarray(0, total - at), at);
      at += value.length;
      progress(at / total);
    }
    return { bytes: all, step: 1 };
  }

  overlay(wish: OverlayWish): Promise<Overlay> {
    return post(`/film/${this.id}/overlay`, wish);
  }

  save(points: Record<string, Point>, finished: boolean, points_id: string | null): Promise<{ points_id: string; words: string }> {
    return post(`/film/${this.id}/points`, { points, finished, points_id });
  }

  snap(point: Point): Promise<Proposal> {
    return post(`/film/${this.id}/snap`, { point });
  }

  circle(points: Point[]): Promise<Proposal> {
    return post(`/film/${this.id}/circle`, { points });
  }

  axis(points: Point[]): Promise<Proposal> {
    return post(`/film/${this.id}/axis`, { points });
  }

  turn(turn: Turn): Promise<{ words: string }> {
    return post(`/film/${this.id}/turn`, turn);
  }

  scale(wish: ScaleWish): Promise<{ words: string }> {
    return post(`/film/${this.id}/scale`, wish);
  }
}
