// What the shell bench asks the server. The page computes no shape: texts go out, triangles, lines and
// sentences come back. An answer with triangles is a short JSON head and then plain numbers.

export type Texts = Record<string, string>;
export type Place = [number, number, number];

export interface BodyHead {
  part: string;
  name: string;
  vertices: number;
  triangles: number;
  walls: boolean;
}

/** One body: corners, triangles, and the wall at each corner where it differs. */
export interface Body {
  part: string;
  name: string;
  corners: Float32Array<ArrayBuffer>;
  triangles: Uint32Array<ArrayBuffer>;
  walls: Float32Array<ArrayBuffer> | null;
}

export interface Handle {
  number: number;
  station: number;
  words: string;
  at: Place;
  /** Outward along the surface, unit length. */
  out: Place;
  moved: number;
}

export interface PointShown {
  key: string;
  name: string;
  at: Place;
  texts: [string, string, string];
  by_hand: boolean;
}

export interface Why {
  words: string;
  sources: string[];
  letter: string;
}

export interface Limit {
  key: string;
  field: string;
  severity: string;
  class: string;
  words: string;
  why: Why[];
}

export interface PreviewHead {
  side: string;
  bodies: BodyHead[];
  rim: Place[];
  handles: Handle[];
  points: PointShown[];
  ground: { at: Place; up: Place };
  sizes: { length_mm: number; width_mm: number; height_mm: number; volume_cm3: number } | null;
  walls: [number, number];
  cautions: string[];
  limits: Limit[];
  /** What a post like this was seen to do; empty without one. */
  effect: string;
  /** Drawn from sheets while the hand moved; sizes and letters follow when it rests. */
  led: boolean;
}

export interface StrengthRow {
  case: string;
  title: string;
  held: string;
  on_shell_n: number;
  arch_drop_mm: number;
  arch_drop_band_mm: [number, number] | null;
  stress_mpa: number;
  place: string;
  safety: number | null;
  safety_band: [number, number] | null;
  fatigue_safety: number | null;
}

export interface Strength {
  weight_kg: number;
  material: string;
  stiffness: string;
  unknowns: number;
  rows: StrengthRow[];
  masses: { body: string; grams: number | null }[];
  left_out: string[];
  /** Values at the corners of the preview's shell, for each row. */
  maps: { row: number; motion_mm: [number, number]; stress_mpa: [number, number]; motion: Float32Array<ArrayBuffer>; stress: Float32Array<ArrayBuffer> }[];
  vertices: number;
}

export interface FootHead {
  side: string;
  bodies: BodyHead[];
  outline: [number, number][];
}

export interface Shapes<Head> {
  head: Head;
  bodies: Body[];
}

export interface Saved {
  revision: number;
  words: string;
  undo: boolean;
  texts: Texts;
}

export interface FinalState {
  state: "none" | "running" | "stopped" | "failed" | "done";
  share: number;
  words: string;
  outdated: boolean;
  done: {
    product: string;
    sound: boolean;
    bodies: { name: string; words: string; faults: string[] }[];
    dimensions: { what: string; asked: string; found: string; state: string }[];
    cautions: string[];
    files: { name: string; words: string; size: string }[];
  } | null;
}

/** A sentence of the server, with the field it belongs to where there is one. */
export class Refusal extends Error {
  constructor(words: string, readonly field = "", readonly status = 0) {
    super(words);
  }
}

async function answered(request: Promise<Response>): Promise<Response> {
  let response: Response;
  try {
    response = await request;
  } catch {
    throw new Refusal("The program does not answer; what you typed is still here. Start it again.");
  }
  if (response.ok) return response;
  let said: { error?: string; todo?: string; field?: string } = {};
  try {
    said = (await response.json()) as typeof said;
  } catch {
    // Not JSON: the plain sentence stands.
  }
  throw new Refusal(said.error ?? `The program answered with ${response.status}; what you typed is still here.`, said.field ?? "", response.status);
}

function headOf(bytes: ArrayBuffer): { head: unknown; at: number } {
  const length = new DataView(bytes).getUint32(0, true);
  return { head: JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, length))), at: 4 + length };
}

function unpacked<Head extends { bodies: BodyHead[] }>(bytes: ArrayBuffer): Shapes<Head> {
  const found = headOf(bytes);
  const head = found.head as Head;
  let at = found.at;
  const bodies = head.bodies.map((b) => {
    const corners = new Float32Array(bytes, at, 3 * b.vertices);
    at += 12 * b.vertices;
    const triangles = new Uint32Array(bytes, at, 3 * b.triangles);
    at += 12 * b.triangles;
    const walls = b.walls ? new Float32Array(bytes, at, b.vertices) : null;
    if (b.walls) at += 4 * b.vertices;
    return { part: b.part, name: b.name, corners, triangles, walls };
  });
  return { head, bodies };
}

const json = { "content-type": "application/json", accept: "application/json" };

export class Api {
  /** Tells this page from another one that looks at the same order. */
  readonly #page = crypto.randomUUID();

  constructor(private readonly id: string) {}

  async foot(): Promise<Shapes<FootHead>> {
    const response = await answered(fetch(`/order/${this.id}/foot`, { headers: { accept: "application/json" } }));
    return unpacked<FootHead>(await response.arrayBuffer());
  }

  /** `led`: the hand still moves, sheets will do. Null where a newer request has overtaken this one. */
  async preview(texts: Texts, led: boolean, stop: AbortSignal | null = null): Promise<Shapes<PreviewHead> | null> {
    const body = JSON.stringify({ texts, page: this.#page, led });
    const response = await answered(fetch(`/order/${this.id}/preview`, { method: "POST", headers: json, body, signal: stop }));
    return response.status === 204 ? null : unpacked<PreviewHead>(await response.arrayBuffer());
  }

  async section(texts: Texts, x: number | null): Promise<{ svg: string; alt: string }> {
    const body = JSON.stringify({ texts, x });
    const response = await answered(fetch(`/order/${this.id}/section`, { method: "POST", headers: json, body }));
    return (await response.json()) as { svg: string; alt: string };
  }

  /** Takes seconds; `stop` gives it up. */
  async strength(texts: Texts, stop: AbortSignal): Promise<Strength> {
    const response = await answered(fetch(`/order/${this.id}/strength`, { method: "POST", headers: json, body: JSON.stringify({ texts }), signal: stop }));
    const bytes = await response.arrayBuffer();
    const found = headOf(bytes);
    const out = found.head as Strength;
    let at = found.at;
    for (const map of out.maps) {
      map.motion = new Float32Array(bytes, at, out.vertices);
      map.stress = new Float32Array(bytes, at + 4 * out.vertices, out.vertices);
      at += 8 * out.vertices;
    }
    return out;
  }

  /** The thinnest wall that holds two figures; takes seconds. */
  async thinnest(texts: Texts, demand: { arch_drop: string; safety: string; arch_only: boolean }): Promise<{ words: string; texts: Texts | null; take: string }> {
    const response = await answered(fetch(`/order/${this.id}/thinnest`, { method: "POST", headers: json, body: JSON.stringify({ texts, ...demand }) }));
    return (await response.json()) as { words: string; texts: Texts | null; take: string };
  }

  async thinnestFar(): Promise<{ share: number; words: string }> {
    const response = await answered(fetch(`/order/${this.id}/thinnest`, { headers: { accept: "application/json" } }));
    return (await response.json()) as { share: number; words: string };
  }

  async thinnestStop(): Promise<void> {
    await answered(fetch(`/order/${this.id}/thinnest/stop`, { method: "POST", headers: { accept: "application/json" } }));
  }

  async save(texts: Texts, revision: number): Promise<Saved> {
    return this.#form("save", { ...texts, revision: String(revision) });
  }

  async undo(revision: number): Promise<Saved> {
    return this.#form("undo", { revision: String(revision) });
  }

  async final(what: "begin" | "state" | "stop"): Promise<FinalState> {
    const address = `/order/${this.id}/final${what === "stop" ? "/stop" : ""}`;
    const response = await answered(fetch(address, { method: what === "state" ? "GET" : "POST", headers: { accept: "application/json" } }));
    return (await response.json()) as FinalState;
  }

  async #form(what: string, fields: Texts): Promise<Saved> {
    const response = await answered(fetch(`/order/${this.id}/${what}`, { method: "POST", headers: { accept: "application/json" }, body: new URLSearchParams(fields) }));
    return (await response.json()) as Saved;
  }
}
