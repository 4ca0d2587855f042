// The way to who answers: the server this page came from. In the page that is one file another
// module stands in place of this one, and everything else is the same.

/** Answers to a path, as `fetch` does. */
export const send = (path, init) => fetch(path, init);

/** Whether there is no server. */
export const alone = false;
