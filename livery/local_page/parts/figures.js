// The figures at hand, by digest: each is asked for once, or comes with the answer that needs it.

import * as connection from "./connection.js";

export class Figures {
  constructor() {
    this.known = new Map();
  }

  get(digest) {
    return this.known.get(digest);
  }

  // Takes the figures that came with an answer.
  take(drawn) {
    for (const [digest, content] of Object.entries(drawn ?? {})) this.known.set(digest, content);
  }

  async load(digest) {
    if (!this.known.has(digest)) this.known.set(digest, await connection.figure(digest));
    await Promise.all((this.known.get(digest).parts ?? []).map((part) => this.load(part.digest)));
    return this.known.get(digest);
  }

  keepOnly(digests) {
    for (const digest of this.known.keys()) if (!digests.has(digest)) this.known.delete(digest);
  }
}

// Heads with titles that distinguish them: where two are called alike, as in a train, their names stand with them.
export function toldApart(heads) {
  const counts = new Map();
  for (const { title } of heads) counts.set(title, (counts.get(title) ?? 0) + 1);
  return heads.map((head) => (counts.get(head.title) > 1 ? { ...head, title: `${head.title} (${head.name.split(" ").slice(1).join(" ")})` } : head));
}
