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

/** An edit in a few words, for the list of what is about to be recorded. */
export function editWords(edit: Edit, name: (id: string) => string): string {
  switch (edit.edit) {
    case 'part': {
      const set = Object.entries(edit.set)
        .filter(([key, value]) => value !== null && key !== 'rated_by')
        .map(([key]) => key.replace('_', ' '))
      return `${name(edit.id)}: ${set.join(', ')}`
    }
    case 'remove':
      return `${name(edit.id)} taken out`
    case 'add_tie':
      return `${edit.label} put in, ${name(edit.from)} to ${name(edit.to)}`
    case 'add_anchor':
      return `${edit.label} put in`
    case 'move':
      return `${name(edit.point)} moved to ${edit.x} across, ${edit.y} up`
    case 'load':
      return `load ${edit.mass}`
    default:
      return edit.edit.replaceAll('_', ' ')
  }
}
