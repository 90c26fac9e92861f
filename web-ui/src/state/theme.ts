// The ink of the page: by the tablet's own setting, by daylight, or for the dark. Kept on this tablet.
import { effect, signal } from '@preact/signals';
import { firstTheme, remember, THEME_AS, THEMES, type Theme } from './choices';

export const theme = signal<Theme>(firstTheme());

/** The one that a press on the switch brings. */
export const themeAfter = (now: Theme): Theme => THEMES[(THEMES.indexOf(now) + 1) % THEMES.length] ?? 'auto';

export function chooseTheme(chosen: Theme): void {
  theme.value = chosen;
  remember(THEME_AS, chosen);
}

/** Tells the styles. Called once, before the page is drawn. */
export function followTheme(): void {
  effect(() => {
    document.documentElement.dataset['theme'] = theme.value;
  });
}
