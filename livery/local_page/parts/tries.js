// What is tried and not yet kept: one request at a time; undo and redo.

import * as connection from "./connection.js";

export class Tries {
  constructor(listener) {
    this.listener = listener; // {group(), answered(data, before), refused(error), changed()}
    this.pending = new Map(); // key -> {value, written}
    this.past = [];
    this.future = [];
    this.wishes = [];
  }

  value(key, written) {
    return this.pending.has(key) ? this.pending.get(key).value : written;
  }

  // Tries changes; those of one gesture are one step back.
  change(changes, gesture = Symbol("gesture")) {
    return this.wish({ changes, gesture, record: true });
  }

  again() {
    return this.wish({ changes: [], gesture: "again", record: false });
  }

  // Of one gesture only the latest wish that waits is asked for.
  wish(wish) {
    if (this.wishes.at(-1)?.gesture === wish.gesture) this.wishes.pop();
    this.wishes.push(wish);
    return this.run();
  }

  undo() {
    return this.go("past", "future", "before");
  }

  redo() {
    return this.go("future", "past", "after");
  }

  // A gesture that is still being answered is taken back whole.
  async go(from, to, which) {
    await this.running;
    if (!this[from].length) return;
    const step = this[from].pop();
    this[to].push(step);
    const changes = step.list.map((c) => ({ key: c.key, to: c[which] }));
    await this.wish({ changes, gesture: Symbol("back"), record: false });
  }

  // Runs until no wish is left; whoever asks meanwhile waits for the same end.
  run() {
    this.running ??= this.through().finally(() => (this.running = null));
    return this.running;
  }

  async through() {
    while (this.wishes.length) {
      const wish = this.wishes.shift();
      try {
        await this.send(wish);
      } catch (error) {
        await this.refused(error, wish);
      }
    }
    this.listener.changed();
  }

  async send({ changes, gesture, record }) {
    const own = new Set(changes.map((c) => c.key));
    const others = [...this.pending].filter(([key]) => !own.has(key));
    const before = new Map(this.pending);
    const data = await connection.tryOut([...others.map(([key, p]) => ({ key, to: p.value })), ...changes], this.listener.group());
    this.pending = new Map();
    for (const { key, value, written } of data.tried) {
      if (value !== written) this.pending.set(key, { value, written });
    }
    if (record) this.remember(data.tried.filter((t) => own.has(t.key)), before, gesture);
    await this.listener.answered(data, before);
  }

  remember(tried, before, gesture) {
    const list = tried.map(({ key, value, written }) => ({
      key,
      before: before.get(key)?.value ?? written,
      after: value,
    }));
    const last = this.past[this.past.length - 1];
    if (last?.gesture === gesture && last.list.length === list.length) {
      last.list.forEach((c, i) => (c.after = list[i].after));
    } else if (list.some((c) => c.before !== c.after)) {
      this.past.push({ gesture, list });
      if (this.past.length > 1000) this.past.shift();
    }
    this.future = [];
  }

  // A value that has gone from the files cannot be tried further: it is dropped, and said.
  async refused(error, wish) {
    const gone = (error.findings ?? []).filter((f) => f.code === "file-changed" && f.key);
    let left = false;
    for (const f of gone) left = this.pending.delete(f.key) || left;
    this.listener.refused(error, wish);
    if (left) this.wishes.push({ changes: [], gesture: "again", record: false });
  }

  async keep(seenNow) {
    await this.running;
    const changes = [...this.pending].map(([key, p]) => ({ key, to: p.value }));
    const data = await connection.keep(changes, seenNow());
    this.pending = new Map();
    return data;
  }

  async drop() {
    await this.running;
    const changes = [...this.pending].map(([key, p]) => ({ key, to: p.written }));
    if (changes.length) await this.change(changes);
  }
}
