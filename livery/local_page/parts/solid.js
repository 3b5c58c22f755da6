// A vehicle as a solid, turned about by mouse, touch or keys.

const VERTEX = `
attribute vec3 place, normal;
uniform mat4 camera;
varying vec3 facing;
void main() { facing = normal; gl_Position = camera * vec4(place, 1.0); }`;
// Light from above the viewer's left; the back of a sheet is shown dark, as bare primer is.
const FRAGMENT = `
precision mediump float;
uniform vec3 colour, light;
varying vec3 facing;
void main() {
  float lit = 0.62 + 0.38 * max(0.0, dot(normalize(facing), light));
  gl_FragColor = vec4(gl_FrontFacing ? colour * lit : vec3(0.16, 0.16, 0.17), 1.0);
}`;
const STEP = Math.PI / 24;
const STEEPEST = Math.PI / 2 - 0.01;

export class SolidView {
  constructor(canvas, leave) {
    this.canvas = canvas;
    this.gl = canvas.getContext("webgl", { antialias: true });
    this.parts = [];
    this.pointers = new Map();
    if (!this.gl) return;
    this.prepare();
    canvas.addEventListener("pointerdown", (event) => this.down(event));
    canvas.addEventListener("pointermove", (event) => this.move(event));
    for (const end of ["pointerup", "pointercancel"]) {
      canvas.addEventListener(end, (event) => this.pointers.delete(event.pointerId));
    }
    canvas.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    canvas.addEventListener("keydown", (event) => this.key(event, leave));
    new ResizeObserver(() => this.draw()).observe(canvas);
  }

  prepare() {
    const { gl } = this;
    this.program = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(this.program, shader);
    }
    gl.linkProgram(this.program);
    gl.useProgram(this.program);
    gl.enable(gl.DEPTH_TEST);
  }

  // Takes the triangles of a solid; paints are distinguished by their look.
  take(solid) {
    const { gl } = this;
    for (const part of this.parts) gl.deleteBuffer(part.buffer);
    this.low = [Infinity, Infinity, Infinity];
    this.high = [-Infinity, -Infinity, -Infinity];
    this.parts = solid.parts.map(({ fill, corners }) => {
      const bytes = Uint8Array.from(atob(corners), (c) => c.charCodeAt(0));
      const data = this.withNormals(new Float32Array(bytes.buffer));
      const buffer = gl.createBuffer();
      gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
      gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
      return { fill, buffer, count: data.length / 6 };
    });
    this.whole();
  }

  // All of it, from before its left.
  whole() {
    [this.yaw, this.pitch, this.near] = [-0.75, 0.3, 1];
    this.draw();
  }

  // From station, right and height to x, y up and z towards the front, with each triangle's normal.
  withNormals(corners) {
    const data = new Float32Array(corners.length * 2);
    for (let i = 0; i < corners.length; i += 9) {
      const p = [0, 3, 6].map((k) => [-corners[i + k + 1], corners[i + k + 2], -corners[i + k]]);
      const [u, v] = [1, 2].map((k) => p[k].map((value, axis) => value - p[0][axis]));
      const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
      const size = Math.hypot(...n) || 1;
      p.forEach((place, k) => {
        data.set([...place, ...n.map((value) => value / size)], i * 2 + k * 6);
        place.forEach((value, axis) => {
          this.low[axis] = Math.min(this.low[axis], value);
          this.high[axis] = Math.max(this.high[axis], value);
        });
      });
    }
    return data;
  }

  paint(colours) {
    this.colours = colours;
    this.draw();
  }

  draw() {
    const { gl, canvas } = this;
    if (!gl || !this.colours || canvas.hidden) return;
    const dots = window.devicePixelRatio || 1;
    canvas.width = Math.max(1, Math.round(canvas.clientWidth * dots));
    canvas.height = Math.max(1, Math.round(canvas.clientHeight * dots));
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    const { camera, light } = this.seen(canvas.width / canvas.height);
    const at = (name) => gl.getUniformLocation(this.program, name);
    gl.uniformMatrix4fv(at("camera"), false, camera);
    gl.uniform3fv(at("light"), light);
    for (const part of this.parts) {
      gl.bindBuffer(gl.ARRAY_BUFFER, part.buffer);
      ["place", "normal"].forEach((name, i) => {
        const where = gl.getAttribLocation(this.program, name);
        gl.enableVertexAttribArray(where);
        gl.vertexAttribPointer(where, 3, gl.FLOAT, false, 24, i * 12);
      });
      gl.uniform3fv(at("colour"), rgb(this.colours(part.fill)));
      gl.drawArrays(gl.TRIANGLES, 0, part.count);
    }
  }

  // The camera looks at the middle, without perspective: every part is at one scale.
  seen(aspect) {
    const middle = this.low.map((value, i) => (value + this.high[i]) / 2);
    const size = Math.hypot(...this.low.map((value, i) => this.high[i] - value)) / 2;
    const [cy, sy, cp, sp] = [Math.cos(this.yaw), Math.sin(this.yaw), Math.cos(this.pitch), Math.sin(this.pitch)];
    const right = [cy, 0, -sy];
    const up = [-sy * sp, cp, -cy * sp];
    const back = [sy * cp, sp, cy * cp];
    const high = (size * 1.05) / (this.near * Math.min(1, aspect));
    const [kx, ky, kz] = [1 / (high * aspect), 1 / high, -1 / (size * 2)];
    const along = (axis, k) => [...axis.map((value) => value * k), -k * axis.reduce((sum, v, i) => sum + v * middle[i], 0)];
    const rows = [along(right, kx), along(up, ky), along(back, kz), [0, 0, 0, 1]];
    const camera = new Float32Array(16);
    rows.forEach((row, r) => row.forEach((value, c) => (camera[c * 4 + r] = value)));
    const light = [0, 1, 2].map((i) => 0.45 * up[i] - 0.35 * right[i] + 0.82 * back[i]);
    const length = Math.hypot(...light);
    return { camera, light: light.map((value) => value / length) };
  }

  turn(yaw, pitch) {
    this.yaw += yaw;
    this.pitch = Math.min(STEEPEST, Math.max(-STEEPEST, this.pitch + pitch));
    this.draw();
  }

  zoom(times) {
    this.near = Math.min(200, Math.max(0.5, this.near * times));
    this.draw();
  }

  down(event) {
    this.canvas.setPointerCapture(event.pointerId);
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  }

  move(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const spread = this.spread();
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (this.pointers.size === 2) this.zoom(this.spread() / spread);
    else this.turn(-(event.clientX - before.x) / 160, (event.clientY - before.y) / 160);
  }

  spread() {
    const [a, b] = [...this.pointers.values()];
    return b ? Math.max(1, Math.hypot(a.x - b.x, a.y - b.y)) : 1;
  }

  wheel(event) {
    event.preventDefault();
    this.zoom(Math.exp(-event.deltaY * 0.0016));
  }

  key(event, leave) {
    const acts = {
      ArrowLeft: () => this.turn(STEP, 0),
      ArrowRight: () => this.turn(-STEP, 0),
      ArrowUp: () => this.turn(0, STEP),
      ArrowDown: () => this.turn(0, -STEP),
      "+": () => this.zoom(1.25),
      "=": () => this.zoom(1.25),
      "-": () => this.zoom(0.8),
      Escape: leave,
    };
    if (!acts[event.key] || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    acts[event.key]();
  }
}

function rgb(hex) {
  return [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16) / 255);
}
