type Works<Results extends readonly unknown[]> = {
  readonly [K in keyof Results]: (signal: AbortSignal) => Promise<Results[K]>;
};

/**
 * Runs all in parallel. The first that fails stops the others; its error is thrown when all have ended, so
 * that nothing they use is released too early, such as a pipe that a process still writes to.
 *
 * @param signal stops all
 */
export async function together<Results extends readonly unknown[]>(
  signal: AbortSignal,
  works: Works<Results>,
): Promise<Results> {
  const stop = new AbortController();
  const both = AbortSignal.any([signal, stop.signal]);
  const failures: unknown[] = [];
  const results = await Promise.all(
    works.map(async (work): Promise<unknown> => {
      try {
        return await work(both);
      } catch (error) {
        failures.push(error);
        stop.abort();
        return null;
      }
    }),
  );
  if (failures.length > 0) throw failures[0];
  // In the order, and of the types, of the works.
  return results as unknown as Results;
}
