// Questions to the science, in the server or in a worker of this page. Every answer is computed from
// the text that is sent along.

import { send } from './way.js';

/** An answer that says no; `status` and, where there is one, `body` of the refusal. */
export class Refused extends Error {
  constructor(status, body) {
    super(body?.message ?? `status ${status}`);
    this.status = status;
    this.body = body;
  }
}

async function read(response) {
  const body = response.headers.get('content-type')?.startsWith('application/json')
    ? await response.json() : { message: await response.text() };
  if (!response.ok) throw new Refused(response.status, body);
  return body;
}

export async function get(path) {
  return read(await send(path, { cache: 'no-store' }));
}

const ask = (path, question, signal) => send(path, {
  method: 'POST',
  headers: { 'content-type': 'application/json' },
  body: JSON.stringify(question),
  signal,
});

export async function post(path, question, signal) {
  return read(await ask(path, question, signal));
}

/** Asks about a file: its bytes follow the question, whose length stands first, in four bytes. */
export async function photographed(path, question, file, signal) {
  const said = new TextEncoder().encode(JSON.stringify(question));
  const length = new DataView(new ArrayBuffer(4));
  length.setUint32(0, said.length, true);
  return read(await send(path, {
    method: 'POST',
    headers: { 'content-type': 'application/octet-stream' },
    body: new Blob([length.buffer, said, file]),
    signal,
  }));
}

/** A file of the page itself. */
export async function asset(path) {
  return (await send(path)).arrayBuffer();
}

export async function bytes(path, question) {
  const response = await ask(path, question);
  if (!response.ok) await read(response);
  return response.arrayBuffer();
}

/**
 * Asks one question at a time; while one is under way only the newest waits, so that a slider
 * never queues up work that nobody will look at. A question that takes long (`patient`) is given
 * up when a newer one comes.
 */
export class Latest {
  constructor(ask, answered, failed) {
    Object.assign(this, { ask, answered, failed, busy: null, next: null });
  }
  put(question) {
    this.next = question;
    if (!this.busy) this.run();
    else if (this.busy.question.patient) this.busy.control.abort();
  }
  /** Gives up what is under way and what waits. */
  stop() {
    this.next = null;
    this.busy?.control.abort();
  }
  /** Nothing under way and nothing waiting. */
  get idle() { return !this.busy && this.next === null; }
  begin() {
    const question = this.next;
    this.next = null;
    const control = new AbortController();
    this.busy = { question, control, answer: this.ask(question, control.signal) };
    return this.busy;
  }
  async run() {
    let asked = this.begin();
    while (asked) {
      const [answer, error] = await asked.answer.then((a) => [a, null], (e) => [null, e]);
      // The server works on the next question while this answer is drawn.
      const superseded = this.next !== null;
      let next = superseded ? this.begin() : null;
      if (answer) this.answered(answer, asked.question, superseded);
      else if (error.name !== 'AbortError') this.failed(error, asked.question);
      if (!next && this.next !== null) next = this.begin();
      asked = next;
    }
    this.busy = null;
  }
}
