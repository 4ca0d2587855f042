// The way to who answers where there is no server: workers that hold the science. It stands in this
// page, packed. Long questions have workers of their own, which are ended when nobody waits any more.

import { shelved } from './shelf.js';

export const alone = true;

/** Workers at once, and how many of them long questions may have: one is left for the sliders. */
const [AT_ONCE, LONG_AT_ONCE] = [3, 2];
const LONG = /^\/api\/(mend|why|series|print|trace|film|path|analyse\?long)/;

const part = (what) => document.querySelector(`script[${what}]`).textContent;

async function compile() {
  const packed = Uint8Array.from(atob(part('id=science')), (c) => c.charCodeAt(0));
  const plain = new Blob([packed]).stream().pipeThrough(new DecompressionStream('deflate'));
  return WebAssembly.compile(await new Response(plain).arrayBuffer());
}
const science = compile();
const script = URL.createObjectURL(new Blob([part('data-module="worker.js"')], { type: 'text/javascript' }));

const idle = [];
const busy = new Set();
let waiting = [];

function hire() {
  const worker = new Worker(script);
  science.then((module) => worker.postMessage({ module }), (error) => worker.onerror(error));
  return worker;
}
// Warm for the first question.
idle.push(hire());

function next() {
  const long = [...busy].filter((job) => job.long).length;
  const job = waiting.find((j) => !j.long || long < LONG_AT_ONCE);
  if (!job || busy.size >= AT_ONCE) return;
  waiting = waiting.filter((j) => j !== job);
  busy.add(job);
  const worker = idle.pop() ?? hire();
  job.worker = worker;
  worker.onmessage = ({ data }) => {
    if (data.failed) return worker.onerror({ message: data.failed });
    idle.push(worker);
    done(job);
    job.answer(new Response(data.body, { status: data.status, headers: { 'content-type': data.mime } }));
  };
  worker.onerror = (error) => {
    error.preventDefault?.();
    worker.terminate();
    done(job);
    job.answer(Response.json({ message: `a mistake in plumbfold itself: ${error.message}` }, { status: 500 }));
  };
  // After the science, which the worker gets as soon as it is there.
  science.then(() => worker.postMessage({ path: job.path.split('?')[0], body: job.body }));
  next();
}
function done(job) {
  busy.delete(job);
  next();
}

const bytes = async (body) => new Uint8Array(await new Response(body ?? '').arrayBuffer());

async function work(path, { body, signal } = {}) {
  const content = await bytes(body);
  return new Promise((answer, refuse) => {
    const given = new DOMException('nobody waits any more', 'AbortError');
    if (signal?.aborted) return refuse(given);
    const job = { path, body: content, answer, long: LONG.test(path) };
    signal?.addEventListener('abort', () => {
      if (job.worker && !busy.has(job)) return;
      waiting = waiting.filter((j) => j !== job);
      if (job.worker) {
        job.worker.terminate();
        idle.push(hire());
        done(job);
      }
      refuse(given);
    }, { once: true });
    waiting.push(job);
    next();
  });
}

/** Answers to a path, as `fetch` does. */
export const send = async (path, init) => await shelved(path, init, work) ?? work(path, init);

// The letters of the page are those of its pictures.
for (const [weight, name] of [[400, 'regular'], [600, 'semibold']]) {
  work(`/inter-${name}.ttf`).then((r) => r.arrayBuffer()).then((bytes) => document.fonts.add(new FontFace('Inter', bytes, { weight })), () => {});
}
