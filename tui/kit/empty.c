typedef int tui_is_not_here_yet;
