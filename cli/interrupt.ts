/**
 * Ctrl-C, SIGTERM and SIGHUP (the terminal was closed) as an AbortSignal: the first asks for a clean stop,
 * the second ends the process at once (nothing is lost then either: outputs have their names only when whole,
 * and the queue keeps its jobs).
 */
export interface Interrupt {
  readonly signal: AbortSignal;
  dispose(): void;
}

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

export function interruptSignal(onFirst?: () => void): Interrupt {
  const controller = new AbortController();
  const listener = () => {
    if (controller.signal.aborted) process.exit(130);
    controller.abort();
    process.exitCode = 130;
    onFirst?.();
  };
  for (const name of SIGNALS) process.on(name, listener);
  return {
    signal: controller.signal,
    /** Interrupted, the process keeps listening: a second signal while it tidies up ends it with 130 too. */
    dispose() {
      if (controller.signal.aborted) return;
      for (const name of SIGNALS) process.off(name, listener);
    },
  };
}
