// A clip to single pictures with their times. The browser knows how to unpack it; every picture is asked for by
// its time, so that the same clip gives the same pictures however busy the machine is.

import { type Part, zipped } from "./zip.js";

export interface Wish {
  /** Seconds of the clip that are wanted. */
  from: number;
  to: number;
}

export interface Shown {
  /** Seconds into the clip, of how many, and pictures kept so far. */
  at: number;
  of: number;
  kept: number;
}

/** Longest side of a kept picture: points are followed no better in a larger one. */
const LONGEST_PX = 1280;
const QUALITY = 0.92;
/** Clips of phones run at 24 to 240 pictures a second. */
const SHORTEST_STEP = 1 / 240;
/** No picture stands longer than this in a clip of a moving leg. */
const LONGEST_STEP = 1;
/** As many as a page works on. */
const MOST = 3600;

export function isClip(file: File): boolean {
  return file.type.startsWith("video/") || /\.(mp4|m4v|mov|webm|mkv|avi)$/i.test(file.name);
}

/** The pictures of a clip in one file, with a table of their times. */
export async function unpacked(file: File, wish: Wish, told: (so: Shown) => void, stopped: () => boolean): Promise<Blob> {
  const video = await opened(file);
  try {
    return zipped(await pictures(video, wish, told, stopped));
  } finally {
    URL.revokeObjectURL(video.src);
  }
}

/** One sentence where the browser cannot open it. */
async function opened(file: File): Promise<HTMLVideoElement> {
  if (file.size === 0) throw new Error("The clip is an empty file; choose another one.");
  const video = document.createElement("video");
  video.muted = true;
  video.playsInline = true;
  video.preload = "auto";
  video.src = URL.createObjectURL(file);
  const cannot = new Error(`This browser cannot open ${file.name || "the clip"}; save it as MP4 (H.264) or WebM and choose it again.`);
  await new Promise<void>((done, fail) => {
    video.onloadeddata = () => done();
    video.onerror = () => fail(cannot);
  });
  if (video.videoWidth === 0 || !(video.duration > 0)) throw new Error("The clip holds no pictures; choose another one.");
  // A clip that was never finished does not know its length until its end was sought.
  if (!Number.isFinite(video.duration)) await sought(video, 1e7);
  return video;
}

function sought(video: HTMLVideoElement, at: number): Promise<void> {
  const done = new Promise<void>((end) => video.addEventListener("seeked", () => end(), { once: true }));
  video.currentTime = at;
  return done;
}

/** The time of the picture that stands at a moment; nothing where no other picture than before is shown. */
async function standing(video: HTMLVideoElement, at: number): Promise<number | undefined> {
  let shown: number | undefined;
  const called = new Promise<void>((done) => {
    video.requestVideoFrameCallback((_, about) => {
      shown = about.mediaTime;
      done();
    });
  });
  await sought(video, at);
  await Promise.race([called, new Promise((late) => setTimeout(late, 120))]);
  return shown;
}

async function pictures(video: HTMLVideoElement, wish: Wish, told: (so: Shown) => void, stopped: () => boolean): Promise<Part[]> {
  const scale = Math.min(1, LONGEST_PX / Math.max(video.videoWidth, video.videoHeight));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(video.videoWidth * scale);
  canvas.height = Math.round(video.videoHeight * scale);
  const brush = canvas.getContext("2d", { alpha: false });
  if (!brush) throw new Error("This browser draws no pictures; use another one.");
  const parts: Part[] = [];
  const times: string[] = [];
  const end = Math.min(wish.to, video.duration);
  let last = Number.NEGATIVE_INFINITY;
  // The shortest distance of two pictures so far: just past it the next one stands.
  let step = Number.POSITIVE_INFINITY;
  for (let at = wish.from; at < end && (last < 0 || at < last + LONGEST_STEP); ) {
    if (stopped()) throw new Error("Stopped; nothing was taken in.");
    const time = await standing(video, at);
    if (time === undefined || time <= last + 1e-6) {
      at += Number.isFinite(step) ? step / 4 : SHORTEST_STEP;
      continue;
    }
    if (last >= 0) step = Math.max(SHORTEST_STEP, Math.min(step, time - last));
    last = time;
    at = time + (Number.isFinite(step) ? 1.02 * step : SHORTEST_STEP);
    brush.drawImage(video, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
    if (!blob) throw new Error("A picture of the clip could not be kept; choose the clip again.");
    parts.push({ name: `${String(parts.length).padStart(5, "0")}.jpg`, bytes: new Uint8Array(await blob.arrayBuffer()) });
    times.push(time.toFixed(6));
    told({ at: time, of: end, kept: parts.length });
    if (parts.length > MOST) throw new Error(`The clip has more than ${MOST} pictures; give the seconds of the rises themselves.`);
  }
  if (parts.length < 2) throw new Error(`The clip holds ${parts.length === 1 ? "one picture" : "no picture"} in this part; expected two at least: choose a longer part.`);
  const table = new TextEncoder().encode(`${times.join("\n")}\n`) as Uint8Array<ArrayBuffer>;
  return [{ name: "times.csv", bytes: table }, ...parts];
}
