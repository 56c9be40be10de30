// The film on the screen: 16-bit grey in a texture, window, inversion, turn, zoom and loupe in one
// fragment shader. Where WebGL 2 is missing, the same picture is drawn on a plain canvas, slower.

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

export interface Loupe {
  /** Middle of the glass on the canvas, its radius, and the shown-picture point under it. */
  at: readonly [number, number];
  radius: number;
  on: readonly [number, number];
  power: number;
}

export interface Light {
  readonly kind: "webgl" | "plain";
  draw(look: Look, place: Place, turn: Turn, loupe: Loupe | null): void;
}

const VERTEX = `#version 300 es
in vec2 corner;
void main() { gl_Position = vec4(corner, 0.0, 1.0); }`;

const FRAGMENT = `#version 300 es
precision highp float;
precision highp sampler2D;
uniform sampler2D film;
uniform vec2 size;      // stored picture
uniform vec2 shown;     // shown picture
uniform vec2 canvas;    // CSS pixels
uniform float ratio;    // device pixels in a CSS pixel
uniform vec3 place;     // zoom, x, y
uniform vec3 look;      // centre, width, inverted
uniform vec2 turn;      // quarter turns, mirrored
uniform vec4 glass;     // x, y, radius, power; radius 0 = none
uniform vec2 under;     // shown-picture point under the glass
out vec4 colour;

float texel(ivec2 p) {
  vec2 rg = texelFetch(film, clamp(p, ivec2(0), ivec2(size) - 1), 0).rg;
  return (rg.r * 255.0 + rg.g * 65280.0) / 65535.0;
}

float grey(vec2 p) {
  vec2 base = floor(p);
  vec2 f = p - base;
  ivec2 i = ivec2(base);
  return mix(mix(texel(i), texel(i + ivec2(1, 0)), f.x), mix(texel(i + ivec2(0, 1)), texel(i + ivec2(1, 1)), f.x), f.y);
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
  float away = glass.z > 0.0 ? distance(at, glass.xy) : 1e9;
  bool inside = away < glass.z;
  if (inside) p = under + (at - glass.xy) / (place.x * glass.w);
  if (p.x < -0.5 || p.y < -0.5 || p.x > shown.x - 0.5 || p.y > shown.y - 0.5) {
    colour = vec4(0.047, 0.055, 0.067, 1.0);
  } else {
    float g = clamp((grey(stored(p)) - look.x) / look.y + 0.5, 0.0, 1.0);
    if (look.z > 0.5) g = 1.0 - g;
    colour = vec4(vec3(g), 1.0);
  }
  if (inside && away > glass.z - 2.0) colour = vec4(0.95, 0.91, 0.78, 1.0);
}`;

/** Puts a film on a canvas. `grey` holds width × height little-endian 16-bit values. */
export function lightBox(canvas: HTMLCanvasElement, grey: Uint8Array, size: Size): Light {
  const gl = canvas.getContext("webgl2", { antialias: false, alpha: false, preserveDrawingBuffer: true });
  if (gl && size.width <= gl.getParameter(gl.MAX_TEXTURE_SIZE) && size.height <= gl.getParameter(gl.MAX_TEXTURE_SIZE)) {
    const light = withWebGl(canvas, gl, grey, size);
    if (light) return light;
  }
  return plain(canvas, grey, size);
}

function withWebGl(canvas: HTMLCanvasElement, gl: WebGL2RenderingContext, grey: Uint8Array, size: Size): Light | null {
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
  gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
  gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RG8, size.width, size.height, 0, gl.RG, gl.UNSIGNED_BYTE, grey);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.NEAREST);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, gl.NEAREST);
  const at = (name: string) => gl.getUniformLocation(program, name);
  // What stands on the canvas, so that a moving glass costs its own place and not the whole film.
  let standing = "";
  let glassThere: Loupe | null = null;
  const uniforms = { size: at("size"), shown: at("shown"), canvas: at("canvas"), ratio: at("ratio"), place: at("place"), look: at("look"), turn: at("turn"), glass: at("glass"), under: at("under") };
  return {
    kind: "webgl",
    draw(look, place, turn, loupe) {
      const ratio = fit(canvas);
      const shown = shownSize(size, turn);
      const now = JSON.stringify([canvas.width, canvas.height, look, place, turn]);
      const glasses = [glassThere, loupe];
      if (now === standing && JSON.stringify(glassThere) === JSON.stringify(loupe)) return;
      const whole = now !== standing;
      standing = now;
      glassThere = loupe;
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.uniform2f(uniforms.size, size.width, size.height);
      gl.uniform2f(uniforms.shown, shown.width, shown.height);
      gl.uniform2f(uniforms.canvas, canvas.clientWidth, canvas.clientHeight);
      gl.uniform1f(uniforms.ratio, ratio);
      gl.uniform3f(uniforms.place, place.zoom, place.x, place.y);
      gl.uniform3f(uniforms.look, look.centre, Math.max(look.width, 1e-4), look.inverted ? 1 : 0);
      gl.uniform2f(uniforms.turn, turn.quarter_turns % 4, turn.mirrored ? 1 : 0);
      gl.uniform4f(uniforms.glass, loupe?.at[0] ?? 0, loupe?.at[1] ?? 0, loupe?.radius ?? 0, loupe?.power ?? 1);
      gl.uniform2f(uniforms.under, loupe?.on[0] ?? 0, loupe?.on[1] ?? 0);
      if (whole) {
        gl.disable(gl.SCISSOR_TEST);
        gl.drawArrays(gl.TRIANGLES, 0, 3);
        return;
      }
      gl.enable(gl.SCISSOR_TEST);
      for (const glass of glasses) {
        if (!glass) continue;
        const reach = Math.ceil((glass.radius + 1) * ratio);
        const [x, y] = [glass.at[0] * ratio, canvas.height - glass.at[1] * ratio];
        gl.scissor(Math.floor(x) - reach, Math.floor(y) - reach, 2 * reach + 1, 2 * reach + 1);
        gl.drawArrays(gl.TRIANGLES, 0, 3);
      }
    },
  };
}

/** Matches the canvas's pixels to the screen's; returns device pixels per CSS pixel. */
function fit(canvas: HTMLCanvasElement): number {
  const ratio = Math.min(window.devicePixelRatio || 1, 2);
  const width = Math.max(1, Math.round(canvas.clientWidth * ratio));
  const height = Math.max(1, Math.round(canvas.clientHeight * ratio));
  if (canvas.width !== width || canvas.height !== height) {
    canvas.width = width;
    canvas.height = height;
  }
  return ratio;
}

function plain(canvas: HTMLCanvasElement, grey: Uint8Array, size: Size): Light {
  const values = new DataView(grey.buffer, grey.byteOffset, grey.byteLength);
  const picture = document.createElement("canvas");
  const step = Math.max(1, Math.ceil(Math.max(size.width, size.height) / 3000));
  picture.width = Math.ceil(size.width / step);
  picture.height = Math.ceil(size.height / step);
  let drawn = "";
  return {
    kind: "plain",
    draw(look, place, turn, loupe) {
      const pen = canvas.getContext("2d");
      const ink = picture.getContext("2d");
      if (!pen || !ink) return;
      const now = `${look.centre} ${look.width} ${look.inverted}`;
      if (now !== drawn) {
        const data = ink.createImageData(picture.width, picture.height);
        for (let y = 0, o = 0; y < picture.height; y++) {
          for (let x = 0; x < picture.width; x++, o += 4) {
            const v = values.getUint16(2 * (y * step * size.width + x * step), true) / 65535;
            const g = 255 * Math.min(1, Math.max(0, (v - look.centre) / Math.max(look.width, 1e-4) + 0.5));
            data.data[o] = data.data[o + 1] = data.data[o + 2] = look.inverted ? 255 - g : g;
            data.data[o + 3] = 255;
          }
        }
        ink.putImageData(data, 0, 0);
        drawn = now;
      }
      const ratio = fit(canvas);
      const shown = shownSize(size, turn);
      const paint = (zoom: number, x: number, y: number) => {
        pen.save();
        pen.translate(x, y);
        pen.scale(zoom, zoom);
        pen.translate(shown.width / 2, shown.height / 2);
        pen.rotate((turn.quarter_turns * Math.PI) / 2);
        if (turn.mirrored) pen.scale(-1, 1);
        pen.drawImage(picture, -size.width / 2, -size.height / 2, size.width, size.height);
        pen.restore();
      };
      pen.setTransform(ratio, 0, 0, ratio, 0, 0);
      pen.fillStyle = "#0c0e11";
      pen.fillRect(0, 0, canvas.clientWidth, canvas.clientHeight);
      paint(place.zoom, place.x, place.y);
      if (loupe) {
        pen.save();
        pen.beginPath();
        pen.arc(loupe.at[0], loupe.at[1], loupe.radius, 0, 2 * Math.PI);
        pen.clip();
        pen.fillRect(loupe.at[0] - loupe.radius, loupe.at[1] - loupe.radius, 2 * loupe.radius, 2 * loupe.radius);
        const zoom = place.zoom * loupe.power;
        paint(zoom, loupe.at[0] - loupe.on[0] * zoom, loupe.at[1] - loupe.on[1] * zoom);
        pen.restore();
        pen.strokeStyle = "#f3e9c8";
        pen.lineWidth = 2;
        pen.beginPath();
        pen.arc(loupe.at[0], loupe.at[1], loupe.radius - 1, 0, 2 * Math.PI);
        pen.stroke();
      }
    },
  };
}
