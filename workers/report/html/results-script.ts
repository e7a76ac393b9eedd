import { createHash } from 'node:crypto';

/**
 * Search and sorting for the table of results; the page is whole and readable without it. It reads the table
 * and sets classes and order, and writes no markup.
 */
export const RESULTS_SCRIPT = `
(() => {
  const table = document.querySelector('.rows');
  const search = document.querySelector('#by-text');
  if (!table || !search) return;
  const body = table.tBodies[0];
  const rows = [...body.rows];
  const texts = rows.map((row) => row.textContent.toLowerCase());
  search.closest('label').hidden = false;
  search.addEventListener('input', () => {
    const words = search.value.toLowerCase().split(/\\s+/).filter((word) => word !== '');
    rows.forEach((row, index) => {
      row.classList.toggle('unfound', !words.every((word) => texts[index].includes(word)));
    });
  });
  const keyOf = (row, column) => {
    const cell = row.cells[column];
    return cell.dataset.sort === undefined ? cell.textContent.trim() : Number(cell.dataset.sort);
  };
  const order = new Intl.Collator(undefined, { numeric: true });
  [...table.tHead.rows[0].cells].forEach((head, column) => {
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = head.textContent;
    head.replaceChildren(button);
    button.addEventListener('click', () => {
      const down = head.getAttribute('aria-sort') === 'ascending';
      for (const other of table.tHead.rows[0].cells) other.removeAttribute('aria-sort');
      head.setAttribute('aria-sort', down ? 'descending' : 'ascending');
      const sorted = [...rows].sort((a, b) => {
        const [x, y] = [keyOf(a, column), keyOf(b, column)];
        const way = typeof x === 'number' ? x - y : order.compare(x, y);
        return down ? -way : way;
      });
      body.append(...sorted);
    });
  });
})();
`;

/** What the page's policy names: this script runs, and no other. */
export const RESULTS_SCRIPT_HASH = `sha256-${createHash('sha256').update(RESULTS_SCRIPT).digest('base64')}`;
