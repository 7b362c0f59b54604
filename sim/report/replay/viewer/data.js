// Reads the flights that the page carries: int16 steps, deflated, in base64.

async function inflate(base64) {
  const packed = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Int16Array(await new Response(stream).arrayBuffer());
}

// Undoes differences from sample to sample (which wrap at 16 bits), column by column.
function summed(steps, columns, rows, scales, offsets) {
  const values = [];
  for (let c = 0; c < columns; c += 1) {
    const column = new Float32Array(rows);
    let at = 0;
    for (let r = 0; r < rows; r += 1) {
      at = ((at + steps[c * rows + r] + 32768) & 65535) - 32768;
      column[r] = at * scales[c] + offsets[c];
    }
    values.push(column);
  }
  return values;
}

export async function readFlight(flight) {
  const { names, scales, offsets, rows, packed } = flight.channels;
  const columns = summed(await inflate(packed), names.length, rows, scales, offsets);
  const channel = Object.fromEntries(names.map((name, i) => [name, columns[i]]));
  let fabric = null;
  if (flight.fabric) {
    const count = flight.fabric.particles * 3;
    const { rows: samples, scale } = flight.fabric;
    fabric = summed(
      await inflate(flight.fabric.packed), count, samples,
      new Array(count).fill(scale), new Array(count).fill(0),
    );
  }
  return { ...flight, channel, fabricPlaces: fabric };
}

// Value of a column between samples; angles are unwrapped when packed.
export function between(column, position) {
  const low = Math.min(Math.floor(position), column.length - 1);
  const high = Math.min(low + 1, column.length - 1);
  const share = position - low;
  return column[low] + Math.max(0, Math.min(share, 1)) * (column[high] - column[low]);
}
