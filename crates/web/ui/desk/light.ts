// The film on the screen: 16-bit grey in textures, window, inversion, turn and zoom in one
// fragment shader. A coarse picture, each of its pixels the mean of a block, comes first and stands
// wherever the film is shown smaller than that; every pixel follows. Where WebGL 2 is missing, the same
// is drawn on a plain canvas, slower.

import type { Size, Turn } from "./turn.js";
import { shownSize } from "./turn.js";

export interface Look {
  /** Middle and width of the grey window, in shares of the full range. */
  centre: number;
  width: number;
  inverted: boolean;
}

/** Shown picture to canvas: canvas = picture × zoom + (x, y), in CSS pixels. */
export interface Place {
  zoom: number;
  x: number;
  y: number;
}

/** 16-bit grey levels, little-endian, one for each block of `step` × `step` film pixels. */
export interface Grey {
  bytes: Uint8Array;
  step: number;
}

/** Columns and rows of a coarse picture of a film. */
export function blocks(size: Size, step: number): Size {
  return { width: Math.ceil(size.width / step), height: Math.ceil(size.height / step) };
}

export interface Light {
  readonly kind: "webgl" | "plain";
  /** The coarse picture first, every pixel once it is here; nothing is drawn before. */
  take(grey: Grey): void;
  /** `room` is the canvas's size in CSS pixels. */
  draw(look: Look, place: Place, turn: Turn, room: Size): void;
}

const VERTEX = `#version 300 es
in vec2 corner;
void main() { gl_Position = vec4(corner, 0.0, 1.0); }`;

const FRAGMENT = `#version 300 es
precision highp float;
precision highp sampler2D;
uniform sampler2D film;
uniform sampler2D coarse;
uniform vec2 steps;     // film pixels in a texel: of the film's texture (0 = not here yet), of the coarse one
uniform vec2 size;      // stored picture
uniform vec2 shown;     // shown picture
uniform vec2 canvas;    // CSS pixels
uniform float ratio;    // device pixels in a CSS pixel
uniform vec3 place;     // zoom, x, y
uniform vec3 look;      // centre, width, inverted
uniform vec2 turn;      // quarter turns, mirrored
out vec4 colour;

float texel(sampler2D levels, ivec2 p) {
  vec2 rg = texelFetch(levels, clamp(p, ivec2(0), textureSize(levels, 0) - 1), 0).rg;
  return (rg.r * 255.0 + rg.g * 65280.0) / 65535.0;
}

float grey(sampler2D levels, vec2 p) {
  vec2 base = floor(p);
  vec2 f = p - base;
  ivec2 i = ivec2(base);
  return mix(mix(texel(levels, i), texel(levels, i + ivec2(1, 0)), f.x), mix(texel(levels, i + ivec2(0, 1)), texel(levels, i + ivec2(1, 1)), f.x), f.y);
}

// The middle of the first block of s × s pixels lies at (s - 1) / 2.
vec2 block(vec2 p, float s) { return (p - 0.5 * (s - 1.0)) / s; }

// Where a block is shown no larger than a pixel of the screen (and a little, against flicker at the edge), its
// mean is the better picture: what is left out would only flicker.
float level(vec2 p, float pixel) {
  bool small = steps.x == 0.0 || pixel * steps.y <= 1.1;
  return small ? grey(coarse, block(p, steps.y)) : grey(film, block(p, steps.x));
}

vec2 stored(vec2 p) {
  vec2 far = size - 1.0;
  vec2 m = p;
  if (turn.x == 1.0) m = vec2(p.y, far.y - p.x);
  else if (turn.x == 2.0) m = far - p;
  else if (turn.x == 3.0) m = vec2(far.x - p.y, p.x);
  return vec2(turn.y > 0.5 ? far.x - m.x : m.x, m.y);
}

void main() {
  vec2 at = vec2(gl_FragCoord.x, canvas.y * ratio - gl_FragCoord.y) / ratio;
  vec2 p = (at - place.yz) / place.x;
  if (p.x < -0.5 || p.y < -0.5 || p.x > shown.x - 0.5 || p.y > shown.y - 0.5) {
    colour = vec4(0.047, 0.055, 0.067, 1.0);
  } else {
    float g = clamp((level(stored(p), place.x * ratio) - look.x) / look.y + 0.5, 0.0, 1.0);
    if (look.z > 0.5) g = 1.0 - g;
    colour = vec4(vec3(g), 1.0);
  }
}`;

/** Makes a canvas ready for a film, while the film is still on its way. */
export function lightBox(canvas: HTMLCanvasElement, size: Size): Light {
  const gl = canvas.getContext("webgl2", { antialias: false, alpha: false });
  if (gl && size.width <= gl.getParameter(gl.MAX_TEXTURE_SIZE) && size.height <= gl.getParameter(gl.MAX_TEXTURE_SIZE)) {
    const light = withWebGl(canvas, gl, size);
    if (light) return light;
  }
  return plain(canvas, size);
}

function withWebGl(canvas: HTMLCanvasElement, gl: WebGL2RenderingContext, size: Size): Light | null {
  const program = gl.createProgram();
  for (const [kind, source] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]] as const) {
    const shader = gl.createShader(kind);
    if (!shader) return null;
    gl.shaderSource(shader, source);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS)) return null;
  gl.useProgram(program);
  gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ARRAY_BUFFER, new Float32Array([-1, -1, 3, -1, -1, 3]), gl.STATIC_DRAW);
  const corner = gl.getAttribLocation(program, "corner");
  gl.enableVertexAttribArray(corner);
  gl.vertexAttribPointer(corner, 2, gl.FLOAT, false, 0, 0);
  gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
  const load = (unit: number, grey: Grey) => {
    const { width, height } = blocks(size, grey.step);
    gl.activeTexture(gl.TEXTURE0 + unit);
    gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RG8, width, height, 0, gl.RG, gl.UNSIGNED_BYTE, grey.bytes);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.NEAREST);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, gl.NEAREST);
  };
  const steps = [0, 0]; // of the film's texture and of the coarse one; 0 = not here yet
  const at = (name: string) => gl.getUniformLocation(program, name);
  let standing = "";
  gl.uniform1i(at("film"), 0);
  gl.uniform1i(at("coarse"), 1);
  const uniforms = { steps: at("steps"), size: at("size"), shown: at("shown"), canvas: at("canvas"), ratio: at("ratio"), place: at("place"), look: at("look"), turn: at("turn") };
  return {
    kind: "webgl",
    take(grey) {
      const unit = steps[1] === 0 ? 1 : 0;
      load(unit, grey);
      steps[unit] = grey.step;
      standing = "";
    },
    draw(look, place, turn, room) {
      if (!steps[1]) return;
      const ratio = fit(canvas, room);
      const shown = shownSize(size, turn);
      const now = JSON.stringify([canvas.width, canvas.height, look, place, turn]);
      if (now === standing) return;
      standing = now;
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.uniform2f(uniforms.steps, steps[0] ?? 0, steps[1]);
      gl.uniform2f(uniforms.size, size.width, size.height);
      gl.uniform2f(uniforms.shown, shown.width, shown.height);
      gl.uniform2f(uniforms.canvas, room.width, room.height);
      gl.uniform1f(uniforms.ratio, ratio);
      gl.uniform3f(uniforms.place, place.zoom, place.x, place.y);
      gl.uniform3f(uniforms.look, look.centre, Math.max(look.width, 1e-4), look.inverted ? 1 : 0);
      gl.uniform2f(uniforms.turn, turn.quarter_turns % 4, turn.mirrored ? 1 : 0);
      gl.drawArrays(gl.TRIANGLES, 0, 3);
    },
  };
}

/** Matches the canvas's pixels to the screen's; returns device pixels per CSS pixel. */
function fit(canvas: HTMLCanvasElement, room: Size): number {
  const ratio = Math.min(window.devicePixelRatio || 1, 2);
  const width = Math.max(1, Math.round(room.width * ratio));
  const height = Math.max(1, Math.round(room.height * ratio));
  if (canvas.width !== width || canvas.height !== height) {
    canvas.width = width;
    canvas.height = height;
  }
  return ratio;
}

function plain(canvas: HTMLCanvasElement, size: Size): Light {
  let from: Grey | null = null;
  const picture = document.createElement("canvas");
  let drawn = "";
  let reach = size; // film pixels that the picture covers: whole blocks, so a little over the border
  return {
    kind: "plain",
    take(grey) {
      from = grey;
      drawn = "";
    },
    draw(look, place, turn, room) {
      const pen = canvas.getContext("2d");
      const ink = picture.getContext("2d");
      if (!pen || !ink || !from) return;
      const now = `${look.centre} ${look.width} ${look.inverted}`;
      if (now !== drawn) {
        const { width, height } = blocks(size, from.step);
        const values = new DataView(from.bytes.buffer, from.bytes.byteOffset, from.bytes.byteLength);
        const skip = Math.max(1, Math.ceil(Math.max(width, height) / 3000));
        picture.width = Math.ceil(width / skip);
        picture.height = Math.ceil(height / skip);
        reach = { width: picture.width * skip * from.step, height: picture.height * skip * from.step };
        const data = ink.createImageData(picture.width, picture.height);
        for (let y = 0, o = 0; y < picture.height; y++) {
          for (let x = 0; x < picture.width; x++, o += 4) {
            const v = values.getUint16(2 * (y * skip * width + x * skip), true) / 65535;
            const g = 255 * Math.min(1, Math.max(0, (v - look.centre) / Math.max(look.width, 1e-4) + 0.5));
            data.data[o] = data.data[o + 1] = data.data[o + 2] = look.inverted ? 255 - g : g;
            data.data[o + 3] = 255;
          }
        }
        ink.putImageData(data, 0, 0);
        drawn = now;
      }
      const ratio = fit(canvas, room);
      const shown = shownSize(size, turn);
      pen.setTransform(ratio, 0, 0, ratio, 0, 0);
      pen.fillStyle = "#0c0e11";
      pen.fillRect(0, 0, room.width, room.height);
      pen.translate(place.x, place.y);
      pen.scale(place.zoom, place.zoom);
      pen.translate(shown.width / 2, shown.height / 2);
      pen.rotate((turn.quarter_turns * Math.PI) / 2);
      if (turn.mirrored) pen.scale(-1, 1);
      pen.drawImage(picture, -size.width / 2, -size.height / 2, reach.width, reach.height);
    },
  };
}
