/**
 * Ctrl-C and SIGTERM as an AbortSignal: the first asks for a clean stop, the second ends the process at once
 * (nothing is lost then either: outputs have their names only when whole, and the queue keeps its jobs).
 */
export interface Interrupt {
  readonly signal: AbortSignal;
  dispose(): void;
}

export function interruptSignal(onFirst?: () => void): Interrupt {
  const controller = new AbortController();
  const listener = () => {
    if (controller.signal.aborted) process.exit(130);
    controller.abort();
    process.exitCode = 130;
    onFirst?.();
  };
  process.on('SIGINT', listener);
  process.on('SIGTERM', listener);
  return {
    signal: controller.signal,
    dispose() {
      process.off('SIGINT', listener);
      process.off('SIGTERM', listener);
    },
  };
}
