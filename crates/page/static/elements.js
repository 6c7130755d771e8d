// The finite elements, in workers made from text of this page. One runs a case and is ended at once when the case is no longer asked for; the
// one that ran the last whole answer keeps its states, draws them, and reaches for the key states of cases beside it.

function openWorker(module, files, heard) {
  const source = document.getElementById("worker").textContent;
  const address = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  const worker = new Worker(address), asked = new Map();
  let next = 0;
  URL.revokeObjectURL(address);
  const answered = (id, answer) => {
    asked.get(id)?.(answer);
    asked.delete(id);
  };
  const fail = (error) => { for (const id of [...asked.keys()]) answered(id, { error, broken: true }); };
  worker.onmessage = ({ data }) => (data.news ? heard(data.news) : answered(data.id, data.answer));
  worker.onerror = (event) => {
    event.preventDefault();
    fail(event.message || "worker");
  };
  worker.postMessage({ module, files: [...files] });
  return {
    ask: (request) => new Promise((resolve) => {
      next += 1;
      asked.set(next, resolve);
      worker.postMessage({ id: next, request });
    }),
    end() {
      worker.terminate();
      fail("ended");
    },
  };
}

function openElements(module, files, changed) {
  // What is computed now; the last whole answer (with the key of its case); key states of a case beside that; why there is no answer.
  const now = { running: null, done: null, near: null, failure: null, stopped: null };
  const start = () => openWorker(module, files, heard);
  let runner = start(), holder = null, wanted = null, reaching = false;

  function heard(news) {
    if (!now.running) return;
    now.running.points += 1;
    now.running.news = news;
    changed("progress");
  }

  function again() {
    now.running = null;
    runner.end();
    runner = start();
  }

  async function assess(text, key) {
    if (now.running) again();
    const running = { key, text, points: 0, news: null, since: performance.now() };
    Object.assign(now, { running, failure: null, stopped: null });
    changed("started");
    const answer = await runner.ask({ ask: "assess", text });
    if (now.running !== running) return;
    if (answer.error) {
      now.failure = { key, error: answer.error };
      again();
      return changed("failed");
    }
    const report = await runner.ask({ ask: "report" });
    if (now.running !== running) return;
    holder?.end();
    [holder, runner] = [runner, start()];
    const seconds = (performance.now() - running.since) / 1000;
    Object.assign(now, { running: null, near: null, done: { ...answer, key, text, document: JSON.parse(answer.result), seconds, report: report.html } });
    changed("done");
  }

  // Only the last case asked for counts; those that came while one was reached for are left out.
  async function reach(text, key) {
    wanted = { text, key };
    if (!holder || reaching) return;
    reaching = true;
    while (wanted) {
      const aim = wanted;
      wanted = null;
      if (aim.key === now.done.key) continue;
      const since = performance.now();
      const answer = await holder.ask({ ask: "beside", text: aim.text });
      now.near = answer.error ? null : { ...answer, key: aim.key, seconds: (performance.now() - since) / 1000 };
      changed("near");
    }
    reaching = false;
  }

  return {
    now,
    assess,
    reach,
    // Asks the worker of the last whole answer.
    ask: (request) => holder?.ask(request) ?? Promise.resolve({ error: "nothing" }),
    // A file has come: workers that begin from now on have it.
    attach() {
      if (now.running) now.stopped = now.running.key;
      again();
    },
    stop() {
      if (!now.running) return;
      now.stopped = now.running.key;
      again();
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
