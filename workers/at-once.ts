/**
 * Does the work of each item, so many at once, and gives what came of them in the order of the items. After
 * the first failure nothing more is begun, and it is thrown when what was begun has ended.
 */
export async function atOnce<Item, Result>(
  most: number,
  items: Iterable<Item>,
  work: (item: Item) => Promise<Result>,
): Promise<Result[]> {
  const results: Result[] = [];
  const failures: unknown[] = [];
  const waiting = [...items].entries();
  const lane = async (): Promise<void> => {
    for (const [index, item] of waiting) {
      try {
        results[index] = await work(item);
      } catch (error) {
        failures.push(error);
      }
      if (failures.length > 0) return;
    }
  };
  await Promise.all(Array.from({ length: Math.max(1, most) }, lane));
  if (failures.length > 0) throw failures[0];
  return results;
}
