// What the film desk asks the server. The page computes no reading: points go out, readings and the
// drawing over the film come back.

import type { Point, Turn } from "./turn.js";

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

export interface Overlay {
  svg: string;
  rows: Row[];
  refused: { measure: string; name: string; sentence: string }[];
  warnings: string[];
}

export interface Proposal {
  points: Record<string, Point>;
  words: string;
}

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

  /** The display picture: width × height little-endian 16-bit values. */
  async grey(progress: (share: number) => void): Promise<Uint8Array> {
    const response = await fetch(`/film/${this.id}/grey16`);
    if (!response.ok || !response.body) throw new Refusal("The picture could not be loaded; load the page again.");
    const total = Number(response.headers.get("content-length") ?? 0);
    if (!total) return new Uint8Array(await response.arrayBuffer());
    const all = new Uint8Array(total);
    let at = 0;
    for (const reader = response.body.getReader(); ; ) {
      const { done, value } = await reader.read();
      if (done) break;
      all.set(value.subarray(0, total - at), at);
      at += value.length;
      progress(at / total);
    }
    return all;
  }

  overlay(points: Record<string, Point>, pen: number, active: string | null, turn: Turn): Promise<Overlay> {
    return post(`/film/${this.id}/overlay`, { points, pen, active, turn });
  }

  save(points: Record<string, Point>, finished: boolean, points_id: string | null): Promise<{ points_id: string; words: string }> {
    return post(`/film/${this.id}/points`, { points, finished, points_id });
  }

  snap(point: Point): Promise<Proposal> {
    return post(`/film/${this.id}/snap`, { point });
  }

  circle(landmark: string, points: Point[]): Promise<Proposal> {
    return post(`/film/${this.id}/circle`, { landmark, points });
  }

  axis(points: Point[]): Promise<Proposal> {
    return post(`/film/${this.id}/axis`, { points });
  }

  turn(turn: Turn): Promise<{ words: string }> {
    return post(`/film/${this.id}/turn`, turn);
  }

  scale(wish: unknown): Promise<{ words: string }> {
    return post(`/film/${this.id}/scale`, wish);
  }
}
