// Texts that are unpacked when they are asked for, a block at a time.
class Archive {
  constructor({ firsts, blocks }) {
    this.firsts = firsts;
    this.blocks = blocks;
    this.open = new Map();
  }

  // A promise of the text of that number.
  text(number) {
    let block = this.firsts.length - 1;
    while (this.firsts[block] > number) block--;
    if (!this.open.has(block)) this.open.set(block, this.unpacked(block));
    return this.open.get(block).then((texts) => texts[number - this.firsts[block]]);
  }

  unpacked(block) {
    const raw = new Blob([bytes(this.blocks[block])]).stream();
    return new Response(raw.pipeThrough(new DecompressionStream("deflate-raw"))).json();
  }
}
