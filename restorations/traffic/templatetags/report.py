from django import template

from restorations.traffic.report.printing import in_percent

register = template.Library()
register.filter("in_percent", in_percent)
