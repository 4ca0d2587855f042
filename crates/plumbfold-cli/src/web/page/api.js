// Questions to the server. Every answer is computed from the text that is sent along.

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
  return read(await fetch(path, { cache: 'no-store' }));
}

export async function post(path, question) {
  return read(await fetch(path, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(question),
  }));
}

export async function bytes(path, question) {
  const response = await fetch(path, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(question),
  });
  if (!response.ok) await read(response);
  return response.arrayBuffer();
}

/**
 * Asks one question at a time; while one is under way only the newest waits, so that a slider
 * never queues up work that nobody will look at.
 */
export class Latest {
  constructor(ask, answered, failed) {
    Object.assign(this, { ask, answered, failed, busy: false, next: null });
  }
  put(question) {
    this.next = question;
    if (!this.busy) this.run();
  }
  /** Nothing under way and nothing waiting. */
  get idle() { return !this.busy && this.next === null; }
  async run() {
    this.busy = true;
    while (this.next !== null) {
      const question = this.next;
      this.next = null;
      try {
        const answer = await this.ask(question);
        this.answered(answer, question, this.next !== null);
      } catch (error) {
        this.failed(error, question);
      }
    }
    this.busy = false;
  }
}
