// The finite elements, in a worker made from text of this page: one case at a time, ended at once when it is stopped or no longer asked for.

function openElements(module, files, changed) {
  const source = document.getElementById("worker").textContent;
  let worker = null, asked = new Map(), next = 0;
  // What is computed now, the last answer (with the key of its case), and why there is none.
  const now = { running: null, done: null, failure: null, stopped: null, live: false };

  function start() {
    const address = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
    worker = new Worker(address);
    URL.revokeObjectURL(address);
    worker.onmessage = ({ data }) => {
      if (data.news) return heard(data.news);
      asked.get(data.id)?.(data.answer);
      asked.delete(data.id);
    };
    worker.onerror = (event) => {
      event.preventDefault();
      for (const answer of asked.values()) answer({ error: event.message || "worker", broken: true });
    };
    worker.postMessage({ module, files: [...files] });
  }

  function heard(news) {
    if (!now.running) return;
    now.running.points += 1;
    now.running.news = news;
    changed("progress");
  }

  function end() {
    worker.terminate();
    asked = new Map();
    now.live = false;
    start();
  }

  // An answer of a worker that was ended meanwhile never comes.
  function ask(request) {
    return new Promise((resolve) => {
      next += 1;
      asked.set(next, resolve);
      worker.postMessage({ id: next, request });
    });
  }

  async function assess(text, key) {
    const running = { key, text, points: 0, news: null, since: performance.now() };
    if (now.running) end();
    Object.assign(now, { running, failure: null, stopped: null, live: false });
    changed("started");
    const answer = await ask({ ask: "assess", text });
    if (now.running !== running) return;
    if (answer.error) {
      now.running = null;
      now.failure = { key, error: answer.error };
      if (answer.broken) end();
      return changed("failed");
    }
    const document = JSON.parse(answer.result);
    const report = await ask({ ask: "report" });
    if (now.running !== running) return;
    const seconds = (performance.now() - running.since) / 1000;
    Object.assign(now, { running: null, live: true, done: { ...answer, key, text, document, seconds, report: report.html } });
    changed("done");
  }

  start();
  return {
    now,
    assess,
    ask: (request) => ask(request),
    attach() {
      if (now.running) now.stopped = now.running.key;
      now.running = null;
      end();
    },
    stop() {
      if (!now.running) return;
      now.stopped = now.running.key;
      now.running = null;
      end();
      changed("stopped");
    },
    // How the last answer stands to a case: "current", "computing", "stopped", "failed", "outdated" or "none".
    standing(key) {
      if (key && now.running?.key === key) return "computing";
      if (key && now.done?.key === key) return "current";
      if (key && now.failure?.key === key) return "failed";
      if (key && now.stopped === key) return "stopped";
      return now.done ? "outdated" : "none";
    },
  };
}
