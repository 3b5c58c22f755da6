// Everything that is asked of the engine, and its news.

export class Refused extends Error {
  constructor(why, findings) {
    super(findings.map((f) => f.message).join("; ") || `refused (${why})`);
    this.why = why;
    this.findings = findings;
  }
}

async function answer(response) {
  if (response.ok) {
    const data = await response.json();
    if (data.refused) throw new Refused(data.refused, data.findings);
    return data;
  }
  let findings = [];
  try {
    findings = (await response.json()).findings ?? [];
  } catch {
    findings = [{ message: `Livery could not answer this request (${response.status}).`, code: "failed" }];
  }
  throw new Refused(response.status, findings);
}

async function asked(address, options) {
  try {
    return await answer(await fetch(address, options));
  } catch (error) {
    if (error instanceof Refused) throw error;
    throw new Refused("stopped", [{ message: "Livery does not answer: it was stopped.", code: "stopped" }]);
  }
}

const get = (address) => asked(address, {});
const post = (address, data) =>
  asked(address, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(data),
  });

// The job as its files are; with the version that is at hand, the figures of a group that differ from it come along.
export const job = (since = -1, group = "") => get(since < 0 ? "/job" : `/job?since=${since}&group=${encodeURIComponent(group)}`);
export const figure = (digest) => get(`/drawn/${encodeURIComponent(digest)}`);
export const settings = (key) => get(`/settings?key=${encodeURIComponent(key)}`);
export const cutFrom = (key, paint) =>
  get(`/cut-from?key=${encodeURIComponent(key)}&paint=${encodeURIComponent(paint)}`);
export const steps = (panel) => get(`/steps?panel=${encodeURIComponent(panel)}`);
export const solid = (vehicle) => get(`/solid?vehicle=${encodeURIComponent(vehicle)}`);
export const joins = () => get("/joins");
export const tryOut = (changes, group) => post("/try", { changes, group });
export const keep = (changes, seen) => post("/keep", { changes, seen });

export const seen = (colours, way) => post("/seen", { colours, ...way });
export const descriptions = () => get("/descriptions");
export const beside = (name) => get(`/beside?file=${encodeURIComponent(name)}`);
export const make = () => post("/make", {});
export const madeAddress = (name) => (name ? `/made?file=${encodeURIComponent(name)}` : "/made");

const ofPicture = ({ file, page, dots }) => `file=${encodeURIComponent(file)}&page=${page}&dots=${dots}`;
export const pictures = () => get("/pictures");
export const addFile = (file) =>
  asked(`/add-file?name=${encodeURIComponent(file.name)}`, { method: "POST", headers: { "content-type": "application/octet-stream" }, body: file });
export const picture = (name) => get(`/picture?${ofPicture(name)}`);
export const tileAddress = (name, level, column, row) => `/tile?${ofPicture(name)}&level=${level}&column=${column}&row=${row}`;
export const survey = (withLooks = false) => get(withLooks ? "/survey?looks=1" : "/survey");
export const measure = (entry, measures, traces) => post("/measure", { picture: entry, measures, traces });
export const stripe = (entry, places) => post("/stripe", { picture: entry, places });
export const colours = (asked) => post("/colours", asked);
export const straighten = (entry) => post("/straighten", entry);
export const keepNamed = (asked) => post("/keep-named", asked);
export const shelves = () => get("/shelves");
export const onPhotograph = (asked) => post("/on-photograph", asked);

export function news(changed, gone) {
  const source = new EventSource("/events");
  source.addEventListener("job", (event) => changed(Number(event.data)));
  source.addEventListener("error", () => gone());
}
