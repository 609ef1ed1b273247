// Changes of the rig in use, part by part, that are not recorded yet: kept while the scribe looks at another screen.
// Taking one back is dropping the last of the list.
import type { Edit } from '../wire/Edit'

class PartEdits {
  #of = $state('')
  list = $state.raw<Edit[]>([])
  #undone = $state.raw<Edit[]>([])

  /** The list belongs to one rig as it was entered last; another begins with none. */
  of(file: string, rig: string, entered: string): void {
    const of = `${file}\n${rig}\n${entered}`
    if (this.#of === of) return
    this.#of = of
    this.drop()
  }

  get canRedo(): boolean {
    return this.#undone.length > 0
  }

  add(edit: Edit): void {
    this.list = [...this.list, edit]
    this.#undone = []
  }

  undo(): void {
    const last = this.list.at(-1)
    if (!last) return
    this.list = this.list.slice(0, -1)
    this.#undone = [...this.#undone, last]
  }

  redo(): void {
    const last = this.#undone.at(-1)
    if (!last) return
    this.#undone = this.#undone.slice(0, -1)
    this.list = [...this.list, last]
  }

  drop(): void {
    this.list = []
    this.#undone = []
  }
}

export const partEdits = new PartEdits()
