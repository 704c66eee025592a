"""Routes of cards, day book, readings and wanted list."""

from django.urls import path

from restorations.tasks.views import day_book, holdings, jobs, readings, wanted

urlpatterns = [
    path("first-jobs/", jobs.first_jobs, name="first_jobs"),
    path("engines/<row:pk>/cards/", jobs.cards, name="cards"),
    path("engines/<row:pk>/cards/new/", jobs.new_card, name="new_card"),
    path("engines/<row:pk>/cards/sets/", jobs.card_sets, name="card_sets"),
    path("cards/<row:pk>/", jobs.card, name="card"),
    path("cards/<row:pk>/change/", jobs.change_card, name="change_card"),
    path("cards/<row:pk>/state/", jobs.set_card_state, name="set_card_state"),
    path("cards/<row:pk>/take-on/", jobs.take_on, name="take_on"),
    path("engines/<row:pk>/jobs/new/", jobs.new_job, name="new_job"),
    path("jobs/<row:pk>/", jobs.job, name="job"),
    path("jobs/<row:pk>/close/", jobs.close_job, name="close_job"),
    path("log/", day_book.start_log, name="start_log"),
    path("engines/<row:pk>/log/", day_book.log, name="log"),
    path("day-book/", day_book.club_day_book, name="club_day_book"),
    path("engines/<row:pk>/day-book/", day_book.day_book, name="day_book"),
    path("people/<row:pk>/day-book/", day_book.persons_day_book, name="persons_day_book"),
    path("entries/<row:pk>/", day_book.entry, name="entry"),
    path("entries/<row:pk>/accept/", day_book.accept_entry, name="accept_entry"),
    path("entries/<row:pk>/strike/", day_book.strike_entry, name="strike_entry"),
    path("engines/<row:pk>/readings/", readings.readings, name="readings"),
    path("engines/<row:pk>/readings/series/", readings.series, name="series"),
    path("readings/<row:pk>/accept/", readings.accept_reading, name="accept_reading"),
    path("readings/<row:pk>/strike/", readings.strike_reading, name="strike_reading"),
    path("readings/<row:pk>/known-good/", readings.known_good, name="known_good"),
    path("wanted/", wanted.club_wanted, name="club_wanted"),
    path("engines/<row:pk>/wanted/", wanted.wanted, name="wanted"),
    path("wanted/<row:pk>/", wanted.change_wanted, name="change_wanted"),
    path("wanted/<row:pk>/repaid/", wanted.repay, name="repay"),
    path("holdings/", holdings.holdings, name="holdings"),
    path("holdings/new/", holdings.hand_it_over, name="hand_over"),
    path("holdings/<row:pk>/back/", holdings.came_back, name="came_back"),
]
