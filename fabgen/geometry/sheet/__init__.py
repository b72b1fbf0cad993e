"""Sheet metal: folds, developments, transitions, panels."""
