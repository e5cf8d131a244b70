/** A list of whole numbers (32 bits) that grows by doubling: millions of them in little memory. */
export class Growing {
  private store = new Int32Array(1024);
  length = 0;

  push(value: number): void {
    if (this.length === this.store.length) {
      const larger = new Int32Array(this.store.length * 2);
      larger.set(this.store);
      this.store = larger;
    }
    this.store[this.length++] = value;
  }

  at(index: number): number {
    return this.store[index] ?? -1;
  }

  set(index: number, value: number): void {
    this.store[index] = value;
  }
}
