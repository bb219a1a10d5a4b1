"""How a drawn order can be repeated, for the pages that show one."""

from django import template

from runsheets import drawn

register = template.Library()
register.simple_tag(drawn.how_drawn)
